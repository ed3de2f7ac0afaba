"""Money steps, and sums in which unknown stays unknown.

Amounts keep full precision; they are rounded only where the customer sees them, by the rule in ``quotebook.rounding``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from quotebook.rounding import GUARD_DECIMALS, ceil_guarded, floor_guarded, round_half_away

__all__ = ["ceil_guarded", "floor_guarded", "product", "round_half_away", "round_up_to_step", "total"]


def round_up_to_step(amount: float, step: float) -> float:
    """Round an amount up to a multiple of ``step``; step 0 leaves it unchanged."""
    if step == 0:
        return amount
    return round_half_away(ceil_guarded(amount / step) * step, GUARD_DECIMALS)


def total(amounts: Iterable[float | None]) -> float | None:
    """Return the sum, or None when any amount is unknown.

    Summed without intermediate rounding, so that the order of independent lines cannot matter.
    """
    known: list[float] = []
    for amount in amounts:
        if amount is None:
            return None
        known.append(amount)
    return math.fsum(known)


def product(first: float | None, *others: float | None) -> float | None:
    """Return the product, or None when any factor is unknown."""
    if first is None:
        return None
    result = first
    for factor in others:
        if factor is None:
            return None
        result *= factor
    return result
