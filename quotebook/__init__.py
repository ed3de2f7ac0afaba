"""quotebook: estimating workbooks for small machine shops, generated, recomputed and checked."""

__version__ = "0.1.0"
