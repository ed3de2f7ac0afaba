"""How a part lies in its stock: which of its sizes is cut to length, which decides the section."""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.machining.units import MM_PER_LENGTH
from quotebook.model import Fit, Job, Shop
from quotebook.pricing.stock import stock_units

#: Forms whose section has one size for both directions, so that two equal sizes of the part tell which one it is.
ALIKE_FORMS = ("round bar", "square bar", "tube")
#: Forms that are sawn to the blank's length and width.
SAWN_FORMS = ("plate", "block")
#: Forms whose thickness, width and length lie as the part's do.
LAID_FORMS = (*SAWN_FORMS, "flat bar")
#: So far apart, in drawing units, two sizes of the part are still the same.
SAME_SIZE = 1e-6


@dataclass(frozen=True)
class PartInStock:
    """How a part lies in its stock, in stock units: ``section`` decides the standard size."""

    section: float
    width: float
    length: float


def part_in_stock(job: Job, shop: Shop) -> PartInStock | None:
    """Return how the part lies in stock of this form; None: its sizes are not known, or they leave a doubt.

    Round and square bar, tube: two of the part's three sizes must be equal, the third is its length. Plate and block:
    the smallest size is the thickness, the largest the length; so in flat bar, in a shop that takes sizes of features.
    Source: common practice, no source.
    """
    sizes = part_sizes(job.fit)
    if sizes is None:
        return None
    factor = MM_PER_LENGTH[job.job.units] / MM_PER_LENGTH["in" if stock_units(job) == "in" else "mm"]
    small, middle, large = (size * factor for size in sizes)
    if job.stock.form in (LAID_FORMS if shop.usual.feature_sizes else SAWN_FORMS):
        return PartInStock(small, middle, large)
    if job.stock.form not in ALIKE_FORMS:
        return None
    if sizes[1] - sizes[0] <= SAME_SIZE:
        return PartInStock(middle, middle, large)
    return PartInStock(large, large, small) if sizes[2] - sizes[1] <= SAME_SIZE else None


def part_sizes(fit: Fit) -> list[float] | None:
    """Return the three sizes of the part, rising; None: not all are given."""
    sizes = [size for size in (fit.length, fit.width, fit.height) if size is not None]
    return sorted(sizes) if len(sizes) == 3 else None
