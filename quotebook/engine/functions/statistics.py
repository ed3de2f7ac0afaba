"""Counts, means and extremes."""

from __future__ import annotations

from collections.abc import Callable

from quotebook.engine.arrays import Array, Operand, Ref
from quotebook.engine.convert import CellError, number
from quotebook.engine.functions.gather import numbers, values
from quotebook.engine.functions.math import add_up, product, total
from quotebook.engine.functions.spread import variance
from quotebook.engine.operators import divide, order
from quotebook.engine.registry import function
from quotebook.values import ErrorValue


@function("COUNT", "x (x)*", "n")
def count(*arguments: Operand) -> float:
    """Count numbers; written text counts when it reads as a number, in references it does not."""
    found = 0
    for value, held in values(arguments):
        if type(value) is float:
            found += 1
        elif not held and not isinstance(value, ErrorValue):
            try:
                number(value)
            except CellError:
                continue
            found += 1
    return float(found)


@function("COUNTA", "x (x)*", "n")
def count_filled(*arguments: Operand) -> float:
    """Count everything but blanks, errors and empty texts too."""
    return float(sum(1 for value, held in values(arguments) if value is not None or not held))


@function("COUNTBLANK", "r", "n")
def count_blank(area: Array) -> float:
    """Count blanks and empty texts."""
    beyond = area.full_height * area.full_width - len(area.flat) if isinstance(area, Ref) else 0
    return float(sum(1 for value in area.flat if value is None or value == "") + beyond)


@function("AVERAGE", "a (a)*", "n")
def average(*arguments: Operand) -> float:
    """Return the mean of numbers; #DIV/0! without any."""
    return mean(numbers(arguments))


def mean(found: list[float]) -> float:
    """Return the mean; #DIV/0! of nothing."""
    return divide(add_up(found), float(len(found)))


@function("MIN", "a (a)*", "n")
def smallest(*arguments: Operand) -> float:
    """Return the smallest number; 0 without any."""
    return min(numbers(arguments), default=0.0)


@function("MAX", "a (a)*", "n")
def largest(*arguments: Operand) -> float:
    """Return the largest number; 0 without any."""
    return max(numbers(arguments), default=0.0)


@function("LARGE", "a n", "n")
def nth_largest(where: Operand, place: float) -> float:
    """Return the n-th largest number."""
    return _nth(sorted(numbers((where,)), reverse=True), place)


@function("SMALL", "a n", "n")
def nth_smallest(where: Operand, place: float) -> float:
    """Return the n-th smallest number."""
    return _nth(sorted(numbers((where,))), place)


def _nth(ordered: list[float], place: float) -> float:
    index = -int(-place // 1)  # a broken place is rounded up
    if not 1 <= index <= len(ordered):
        raise CellError(ErrorValue.NUM)
    return ordered[index - 1]


@function("RANK RANK.EQ", "n a [n]", "n")
def rank(value: float, where: Operand, ascending: float = 0.0) -> float:
    """Return the place of a number among others, the largest being 1; equal numbers share a place."""
    found = numbers((where,))
    if not any(order(each, value) == 0 for each in found):
        raise CellError(ErrorValue.NA)
    wanted = -1 if ascending else 1
    return float(1 + sum(order(each, value) == wanted for each in found))


_SUBTOTALS: dict[int, Callable[..., float]] = {
    1: average,
    2: count,
    3: count_filled,
    4: largest,
    5: smallest,
    6: product,
    7: lambda *a: variance(numbers(a), 1) ** 0.5,
    8: lambda *a: variance(numbers(a), 0) ** 0.5,
    9: total,
    10: lambda *a: variance(numbers(a), 1),
    11: lambda *a: variance(numbers(a), 0),
}


@function("SUBTOTAL", "n a (a)*", "n")
def subtotal(which: float, *areas: Operand) -> float:
    """Aggregate ranges; cells to be skipped have been blanked by the caller."""
    return _SUBTOTALS[int(which) % 100](*areas)
