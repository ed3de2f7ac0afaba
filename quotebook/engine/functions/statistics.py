"""Counts, means, extremes and spreads."""

from __future__ import annotations

from quotebook.engine.arrays import Array, Operand, Ref
from quotebook.engine.convert import CellError, number
from quotebook.engine.functions.gather import numbers, values
from quotebook.engine.functions.math import add_up
from quotebook.engine.operators import divide
from quotebook.engine.registry import function
from quotebook.values import ErrorValue


@function("COUNT", "x (x)*", "n")
def count(*arguments: Operand) -> float:
    """Count numbers; written text counts when it reads as a number, in references it does not."""
    found = 0
    for value, held in values(arguments):
        if type(value) is float:
            found += 1
        elif not held and value is not None and not isinstance(value, ErrorValue):
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
    found = numbers(arguments)
    return divide(add_up(found) if found else 0.0, float(len(found)))


@function("MIN", "a (a)*", "n")
def smallest(*arguments: Operand) -> float:
    """Return the smallest number; 0 without any."""
    return min(numbers(arguments), default=0.0)


@function("MAX", "a (a)*", "n")
def largest(*arguments: Operand) -> float:
    """Return the largest number; 0 without any."""
    return max(numbers(arguments), default=0.0)
