"""Rounding in all its kinds, always on the 15 significant digits that a spreadsheet program shows."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_FLOOR, ROUND_HALF_UP, ROUND_UP, Decimal

from quotebook.engine.convert import CellError, checked, fifteen
from quotebook.engine.registry import function
from quotebook.values import ErrorValue

_TENS = (1.0, 10.0, 100.0, 1000.0, 10000.0, 100000.0, 1000000.0)


def rounded(value: float, digits: float, mode: str) -> float:
    """Return a number rounded to decimal places, negative places being tens and hundreds."""
    places = math.trunc(digits)
    if 0 <= places <= 6:
        # The short way, where neither the 15 digits nor binary noise can change the answer: the scaled number is below
        # 1e8, so its 15th digit is worth less than 1e-6, and it is further than that from where the answer changes.
        scaled = abs(value) * _TENS[places]
        below = math.floor(scaled)
        part = scaled - below
        if scaled < 1e8 and 1e-6 < part < 0.999999 and abs(part - 0.5) > 1e-6:
            up = part > 0.5 if mode == ROUND_HALF_UP else mode == ROUND_UP
            if mode in (ROUND_HALF_UP, ROUND_UP, ROUND_DOWN):
                return math.copysign((below + up) / _TENS[places], value) if below + up else 0.0
    shown = Decimal(f"{value:.15g}")
    if places > 20 or not value or -places > 310:
        return value if places > 0 or not value else 0.0 * value
    step = Decimal(1).scaleb(-places)
    exponent = shown.as_tuple().exponent
    assert isinstance(exponent, int), "cells hold no infinities"
    if exponent >= -places:
        return float(shown) if abs(value) < 1e15 else value
    return checked(float((shown / step).quantize(Decimal(1), mode) * step) + 0.0)


@function("ROUND", "n n", "n")
def round_half_away(value: float, digits: float) -> float:
    """Round to the nearest, halves away from zero."""
    return rounded(value, digits, ROUND_HALF_UP)


@function("ROUNDUP", "n n", "n")
def round_up(value: float, digits: float) -> float:
    """Round away from zero."""
    return rounded(value, digits, ROUND_UP)


@function("ROUNDDOWN", "n n", "n")
def round_down(value: float, digits: float) -> float:
    """Round toward zero."""
    return rounded(value, digits, ROUND_DOWN)


@function("TRUNC", "n [n]", "n")
def truncate(value: float, digits: float = 0.0) -> float:
    """Cut off digits."""
    return rounded(value, digits, ROUND_DOWN)


@function("INT", "n", "n")
def whole_below(value: float) -> float:
    """Return the next whole number at or below."""
    return rounded(value, 0.0, ROUND_FLOOR)


@function("EVEN", "n", "n")
def even(value: float) -> float:
    """Round away from zero to an even number."""
    return rounded(fifteen(value) / 2, 0.0, ROUND_UP) * 2


@function("ODD", "n", "n")
def odd(value: float) -> float:
    """Round away from zero to an odd number."""
    size = abs(fifteen(value))
    return math.copysign(max(math.ceil((size - 1) / 2), 0) * 2 + 1, value)


def _steps(value: float, step: float, mode: str) -> float:
    """Return value as a whole number of steps; the quotient is taken on 15 digits, so 0.3 is three steps of 0.1."""
    count = Decimal(f"{value:.15g}") / Decimal(f"{step:.15g}")
    count = Decimal(f"{float(count):.15g}").quantize(Decimal(1), mode) if abs(count) < 10**15 else count
    return checked(float(count * Decimal(f"{step:.15g}")) + 0.0)


@function("CEILING", "n n", "n")
def ceiling(value: float, step: float) -> float:
    """Round up to a step; a negative number with a negative step goes away from zero."""
    if not value or not step:
        return 0.0
    if value > 0 > step:
        raise CellError(ErrorValue.NUM)
    return _steps(value, step, ROUND_CEILING)


@function("FLOOR", "n n", "n")
def floor(value: float, step: float) -> float:
    """Round down to a step; a negative number with a negative step goes toward zero."""
    if not value:
        return 0.0
    if not step:
        raise CellError(ErrorValue.DIV0)
    if value > 0 > step:
        raise CellError(ErrorValue.NUM)
    return _steps(value, step, ROUND_FLOOR)


@function("CEILING.MATH", "n [n n]", "n")
def ceiling_math(value: float, step: float = 1.0, mode: float = 0.0) -> float:
    """Round up to a step whatever its sign; with a mode, negative numbers go away from zero."""
    if not value or not step:
        return 0.0
    return _steps(value, abs(step), ROUND_UP if value < 0 and mode else ROUND_CEILING)


@function("FLOOR.MATH", "n [n n]", "n")
def floor_math(value: float, step: float = 1.0, mode: float = 0.0) -> float:
    """Round down to a step whatever its sign; with a mode, negative numbers go toward zero."""
    if not value or not step:
        return 0.0
    return _steps(value, abs(step), ROUND_DOWN if value < 0 and mode else ROUND_FLOOR)


@function("MROUND", "n n", "n")
def to_multiple(value: float, step: float) -> float:
    """Round to the nearest multiple, halves away from zero; value and step must have one sign."""
    if not value or not step:
        return 0.0
    if (value < 0) != (step < 0):
        raise CellError(ErrorValue.NUM)
    return _steps(value, step, ROUND_HALF_UP)
