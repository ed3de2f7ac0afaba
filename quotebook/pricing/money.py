"""The one rounding rule, and sums in which unknown stays unknown.

Amounts keep full precision; they are rounded only where the customer sees them. A value within half
a millionth of a whole number counts as that number, so that 0.1 + 0.2 never buys one bar more.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

#: Spreadsheet programs show and round 15 significant decimal digits of a binary number.
SIGNIFICANT_DIGITS = 15
#: Decimals kept before a step up or down to a whole number.
GUARD_DECIMALS = 6


def round_half_away(value: float, decimals: int) -> float:
    """Round to ``decimals`` places, halves away from zero, as a spreadsheet's ROUND does.

    The half is judged on the 15 significant digits of the value: 1.005 to 2 places is 1.01.
    """
    text = Decimal(f"{value:.{SIGNIFICANT_DIGITS - 1}e}")
    last_digit = int(text.as_tuple().exponent)
    if last_digit >= -decimals:
        return float(text)
    return float(text.quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP)) + 0.0


def ceil_guarded(value: float) -> int:
    """Return the next whole number up; within half a millionth of a whole number: that number."""
    return math.ceil(round_half_away(value, GUARD_DECIMALS))


def floor_guarded(value: float) -> int:
    """Return the next whole number down; within half a millionth of a whole number: that number."""
    return math.floor(round_half_away(value, GUARD_DECIMALS))


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
