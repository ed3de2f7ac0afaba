"""The SUMIF family: counts, sums, means and extremes of what meets criteria."""

from __future__ import annotations

from collections.abc import Sequence

from quotebook.engine.arrays import Array, Ref, aligned
from quotebook.engine.convert import CellError
from quotebook.engine.criteria import matcher, plain_text
from quotebook.engine.functions.math import add_up
from quotebook.engine.operators import divide
from quotebook.engine.registry import function
from quotebook.values import ErrorValue, Value


def _selected(columns: Sequence[Sequence[Value]], criteria: Sequence[Value], first: Array | None) -> list[int]:
    """Return the places at which every column meets its criterion; ``first`` is the range of the first column."""
    plain = plain_text(criteria[0])
    if plain is not None and first is not None and first.flat is columns[0]:
        if first.folded is None:
            first.folded = [each.casefold() if type(each) is str else None for each in first.flat]
        places = [index for index, value in enumerate(first.folded) if value == plain]
    else:
        test = matcher(criteria[0])
        places = [index for index, value in enumerate(columns[0]) if test(value)]
    for column, criterion in zip(columns[1:], criteria[1:], strict=True):
        test = matcher(criterion)
        places = [index for index in places if test(column[index])]
    return places


def _numbers(values: Array, pairs: tuple[Array | Value, ...]) -> list[float]:
    """Return the numbers of ``values`` where ranges meet their criteria; given as range, criterion, range, ..."""
    ranges = [each for each in pairs[::2] if isinstance(each, Array)]
    criteria = [each for each in pairs[1::2] if not isinstance(each, Array)]
    columns = aligned([values, *ranges])
    if columns is None:
        raise CellError(ErrorValue.VALUE)
    found: list[float] = []
    for index in _selected(columns[1:], criteria, ranges[0]):
        value = columns[0][index]
        if type(value) is float:
            found.append(value)
        elif isinstance(value, ErrorValue):
            raise CellError(value)
    return found


@function("SUMIFS", "r r e (r e)*", "n")
def sum_ifs(values: Array, *pairs: Array | Value) -> float:
    """Add the numbers whose rows meet all criteria."""
    return add_up(_numbers(values, pairs))


@function("SUMIF", "r e [r]", "n")
def sum_if(tested: Array, criterion: Value, values: Array | None = None) -> float:
    """Add the numbers whose cells meet one criterion."""
    return add_up(_numbers(tested if values is None else values, (tested, criterion)))


@function("AVERAGEIFS", "r r e (r e)*", "n")
def average_ifs(values: Array, *pairs: Array | Value) -> float:
    """Return the mean of the numbers whose rows meet all criteria; #DIV/0! without any."""
    found = _numbers(values, pairs)
    return divide(add_up(found), float(len(found)))


@function("AVERAGEIF", "r e [r]", "n")
def average_if(tested: Array, criterion: Value, values: Array | None = None) -> float:
    """Return the mean of the numbers whose cells meet one criterion."""
    return average_ifs(tested if values is None else values, tested, criterion)  # type: ignore[no-any-return]


@function("MAXIFS", "r r e (r e)*", "n")
def max_ifs(values: Array, *pairs: Array | Value) -> float:
    """Return the largest number whose row meets all criteria; 0 without any."""
    return max(_numbers(values, pairs), default=0.0)


@function("MINIFS", "r r e (r e)*", "n")
def min_ifs(values: Array, *pairs: Array | Value) -> float:
    """Return the smallest number whose row meets all criteria; 0 without any."""
    return min(_numbers(values, pairs), default=0.0)


@function("COUNTIFS", "r e (r e)*", "n")
def count_ifs(*pairs: Array | Value) -> float:
    """Count the rows that meet all criteria."""
    ranges = [each for each in pairs[::2] if isinstance(each, Array)]
    criteria = [each for each in pairs[1::2] if not isinstance(each, Array)]
    columns = aligned(ranges)
    if columns is None:
        raise CellError(ErrorValue.VALUE)
    beyond = 0
    if isinstance(ranges[0], Ref) and all(matcher(criterion)(None) for criterion in criteria):
        # Cells below the used area are blank, and may be what is counted.
        beyond = ranges[0].full_height * ranges[0].full_width - len(columns[0])
    return float(len(_selected(columns, criteria, ranges[0])) + beyond)


@function("COUNTIF", "r e", "n")
def count_if(tested: Array, criterion: Value) -> float:
    """Count the cells that meet one criterion."""
    return count_ifs(tested, criterion)  # type: ignore[no-any-return]
