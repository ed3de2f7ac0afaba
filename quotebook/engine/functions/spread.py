"""How values lie around their middle, and how two rows of values go together."""

from __future__ import annotations

import math

from quotebook.engine.arrays import Array, Operand
from quotebook.engine.convert import CellError, NotSupported, checked
from quotebook.engine.functions.gather import numbers
from quotebook.engine.registry import function
from quotebook.values import ErrorValue, Value


def variance(found: list[float], less: int) -> float:
    """Return the mean square distance from the mean, divided by the count less ``less``; #DIV/0! of too few."""
    if len(found) <= less:
        raise CellError(ErrorValue.DIV0)
    middle = math.fsum(found) / len(found)
    return checked(math.fsum((value - middle) ** 2 for value in found) / (len(found) - less))


@function("STDEV STDEV.S", "a (a)*", "n")
def deviation_of_sample(*arguments: Operand) -> float:
    """Return the standard deviation of a sample."""
    return math.sqrt(variance(numbers(arguments), 1))


@function("STDEVP STDEV.P", "a (a)*", "n")
def deviation_of_all(*arguments: Operand) -> float:
    """Return the standard deviation of a whole population."""
    return math.sqrt(variance(numbers(arguments), 0))


@function("VAR VAR.S", "a (a)*", "n")
def variance_of_sample(*arguments: Operand) -> float:
    """Return the variance of a sample."""
    return variance(numbers(arguments), 1)


@function("VARP VAR.P", "a (a)*", "n")
def variance_of_all(*arguments: Operand) -> float:
    """Return the variance of a whole population."""
    return variance(numbers(arguments), 0)


@function("MEDIAN", "a (a)*", "n")
def median(*arguments: Operand) -> float:
    """Return the middle number, or the mean of the two middle ones; #NUM! without any."""
    return _quantile(numbers(arguments), 0.5)


def _quantile(found: list[float], share: float) -> float:
    """Return the value below which a share of the numbers lies, the ends included, between two by proportion."""
    if not found or not 0 <= share <= 1:
        raise CellError(ErrorValue.NUM)
    found = sorted(found)
    place = share * (len(found) - 1)
    below = min(int(place), len(found) - 1)
    above = min(below + 1, len(found) - 1)
    return found[below] + (found[above] - found[below]) * (place - below)


@function("PERCENTILE PERCENTILE.INC", "a n", "n")
def percentile(where: Operand, share: float) -> float:
    """Return the value below which a share of the numbers lies."""
    return _quantile(numbers((where,)), share)


@function("QUARTILE QUARTILE.INC", "a n", "n")
def quartile(where: Operand, quarter: float) -> float:
    """Return the value below which so many quarters of the numbers lie."""
    if not 0 <= int(quarter) <= 4:
        raise CellError(ErrorValue.NUM)
    return _quantile(numbers((where,)), int(quarter) / 4)


@function("GEOMEAN", "a (a)*", "n")
def geometric_mean(*arguments: Operand) -> float:
    """Return the geometric mean; #NUM! unless all are above 0."""
    found = numbers(arguments)
    if not found or min(found) <= 0:
        raise CellError(ErrorValue.NUM)
    return math.exp(math.fsum(map(math.log, found)) / len(found))


def _pairs(first: Operand, second: Operand) -> list[tuple[float, float]]:
    """Return places where both hold numbers; #N/A for rows of different length."""
    rows: list[list[Value]] = []
    for each in (first, second):
        if not isinstance(each, Array):
            raise NotSupported("a regression over single values is not supported")
        rows.append(list(each.flat))
    if len(rows[0]) != len(rows[1]):
        raise CellError(ErrorValue.NA)
    for value in (*rows[0], *rows[1]):
        if isinstance(value, ErrorValue):
            raise CellError(value)
    return [(a, b) for a, b in zip(*rows, strict=True) if type(a) is float and type(b) is float]


def _sums(pairs: list[tuple[float, float]]) -> tuple[float, float, float, float, float]:
    """Return both means and the sums of squares and products around them."""
    if not pairs:
        raise CellError(ErrorValue.DIV0)
    mean_a = math.fsum(a for a, _ in pairs) / len(pairs)
    mean_b = math.fsum(b for _, b in pairs) / len(pairs)
    square_a = math.fsum((a - mean_a) ** 2 for a, _ in pairs)
    square_b = math.fsum((b - mean_b) ** 2 for _, b in pairs)
    return mean_a, mean_b, square_a, square_b, math.fsum((a - mean_a) * (b - mean_b) for a, b in pairs)


@function("CORREL", "A A", "n")
def correlation(first: Operand, second: Operand) -> float:
    """Return how closely two rows of values go together, -1 to 1."""
    _, _, square_a, square_b, both = _sums(_pairs(first, second))
    if not square_a or not square_b:
        raise CellError(ErrorValue.DIV0)
    return both / math.sqrt(square_a * square_b)


def _line(known_y: Operand, known_x: Operand) -> tuple[float, float]:
    """Return slope and intercept of the straight line nearest to the points."""
    mean_y, mean_x, _, square_x, both = _sums(_pairs(known_y, known_x))
    if not square_x:
        raise CellError(ErrorValue.DIV0)
    slope = both / square_x
    return slope, mean_y - slope * mean_x


@function("SLOPE", "A A", "n")
def slope(known_y: Operand, known_x: Operand) -> float:
    """Return the slope of the straight line nearest to the points."""
    return _line(known_y, known_x)[0]


@function("INTERCEPT", "A A", "n")
def intercept(known_y: Operand, known_x: Operand) -> float:
    """Return where that line crosses x = 0."""
    return _line(known_y, known_x)[1]


@function("FORECAST FORECAST.LINEAR", "n A A", "n")
def forecast(x: float, known_y: Operand, known_x: Operand) -> float:
    """Return the value of that line at x."""
    gradient, start = _line(known_y, known_x)
    return start + gradient * x
