"""Fast ways of functions over columns: numbers and logicals only, answers equal to the scalar functions' to the bit.

A way raises ``Slow``, or numpy's ``FloatingPointError`` for an overflow or a division by zero, where it cannot answer.
"""

from __future__ import annotations

from collections.abc import Callable

from quotebook.engine.many.columns import Column
from quotebook.engine.many.fast_lists import LIST_WAYS, picked
from quotebook.engine.many.fast_values import VALUE_WAYS

__all__ = ["WAYS", "picked"]

WAYS: dict[str, Callable[..., Column]] = {**VALUE_WAYS, **LIST_WAYS}
