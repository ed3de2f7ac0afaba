"""The one rounding rule: halves away from zero, whole-number steps guarded against float noise.

A value within half a millionth of a whole number counts as that number, so that 0.1 + 0.2 never buys one bar more.
"""

from __future__ import annotations

import math
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
