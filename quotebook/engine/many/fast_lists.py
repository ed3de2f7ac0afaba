"""Fast ways of functions over lists and rectangles of columns; ``fast`` says what they promise."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from quotebook.engine.arrays import Array
from quotebook.engine.criteria import matcher, plain_text
from quotebook.engine.many.columns import Block, Column, Raised, Slow, settled
from quotebook.engine.many.fast_values import as_number, as_truth, holds
from quotebook.engine.operators import NOISE
from quotebook.values import ErrorValue


def _cells(arguments: tuple[Column, ...]) -> Iterator[tuple[Column, bool]]:
    """Yield every cell of the arguments with whether it stands in a rectangle."""
    for each in arguments:
        if isinstance(each, Block | Array):
            for cell in each.flat:
                if type(cell) is Raised or (type(cell) is np.ndarray and cell.dtype == object):
                    raise Slow
                yield cell, True
        else:
            yield each, False


def _numbers(arguments: tuple[Column, ...]) -> list[Column]:
    """Return the numbers among arguments, as aggregates count them."""
    found = []
    for cell, held in _cells(arguments):
        if not held:
            found.append(as_number(cell))
        elif isinstance(cell, ErrorValue):
            raise Slow
        elif holds(cell, np.float64, float):
            found.append(cell)
    return found


def summed(terms: list[Column]) -> Column:
    """Return the sum of columns, each rounded once, as ``math.fsum`` does; 0 where only binary noise is left.

    Two numbers carry what one cannot hold (the two-sum of Knuth), so the error is about 2^-105.
    """
    plain = [term for term in terms if type(term) is float]
    high: Column = np.zeros(())
    low: Column = np.zeros(())
    largest: Column = max(map(abs, plain), default=0.0)
    for term in terms:
        total = high + term
        back = total - high
        low = low + ((high - (total - back)) + (term - back))
        high = total
        if type(term) is np.ndarray:
            largest = np.maximum(largest, np.abs(term))
    result = high + low
    return settled(np.where(np.abs(result) <= NOISE * largest, 0.0, result))


def _sum(*arguments: Column) -> Column:
    return summed(_numbers(arguments))


def _sum_of_products(*arguments: Column) -> Column:
    arrays = [each if isinstance(each, Block | Array) else Array(1, 1, (each,)) for each in arguments]
    if len({(each.height, each.width) for each in arrays}) != 1:
        raise Slow
    if any(getattr(each, "full_height", each.height) != each.height for each in arrays):
        raise Slow
    terms = []
    for cells in zip(*[each.flat for each in arrays], strict=True):
        product: Column = None
        for cell, _ in _cells((Block(1, len(cells), cells, False),)):
            if isinstance(cell, ErrorValue):
                raise Slow
            factor = cell if holds(cell, np.float64, float) else 0.0
            product = factor if product is None else product * factor
        terms.append(product)
    return summed(terms)


def _product(*arguments: Column) -> Column:
    result: Column = 1.0
    found = _numbers(arguments)
    for each in found:
        result = result * each
    return result if found else 0.0


def _extreme(choose: Any) -> Callable[..., Column]:
    def way(*arguments: Column) -> Column:
        found = _numbers(arguments)
        if not found:
            return 0.0
        result = found[0]
        for each in found[1:]:
            result = choose(result, each)
        return settled(result) if type(result) is np.ndarray else float(result)

    return way


def _median(*arguments: Column) -> Column:
    found = _numbers(arguments)
    if len(found) % 2 == 0:
        raise Slow
    stacked = np.sort(np.stack(np.broadcast_arrays(*found)), axis=0)
    return settled(stacked[len(found) // 2])


def _count(*arguments: Column) -> Column:
    found = 0
    for cell, held in _cells(arguments):
        if not held and type(cell) is not float and type(cell) is not np.ndarray:
            raise Slow
        # A logical that is computed counts where it is written out, and not where a cell holds it.
        found += holds(cell, np.float64, float) if held else True
    return float(found)


def _count_filled(*arguments: Column) -> Column:
    return float(sum(1 for cell, held in _cells(arguments) if cell is not None or not held))


def _count_if(where: Column, criterion: Column) -> Column:
    """Count cells that hold a text: a column of numbers or logicals holds none, whatever the case."""
    if not isinstance(where, Block | Array) or plain_text(criterion) is None:
        raise Slow
    matches = matcher(criterion)
    return float(sum(matches(cell) for cell, _ in _cells((where,)) if type(cell) is not np.ndarray))


def _logical(combine: Any) -> Callable[..., Column]:
    def way(*arguments: Column) -> Column:
        result: Column = None
        for cell, held in _cells(arguments):
            if isinstance(cell, ErrorValue):
                raise Slow
            if held and (cell is None or type(cell) is str):
                continue
            truth = as_truth(cell)
            result = truth if result is None else combine(result, truth)
        if result is None:
            raise Slow
        return settled(result) if type(result) is np.ndarray else bool(result)

    return way


def _not(value: Column) -> Column:
    return np.logical_not(as_truth(value))


def _constantly(numbers: bool, logicals: bool) -> Callable[[Column], Column]:
    def way(value: Column) -> Column:
        if type(value) is not np.ndarray:
            raise Slow
        return numbers if value.dtype == np.float64 else logicals

    return way


# -- look-up ----------------------------------------------------------------------------------------


def picked(area: Column, row: Column, column: Column, part: Column) -> tuple[Column] | None:
    """Return the cell of a rectangle by places within it, or None where the careful way must decide."""
    if part != 1.0 or not isinstance(area, Array | Block) or not (column is None or type(column) is float):
        return None
    right = 1 if column is None and area.width == 1 else int(column or 0.0)
    if not 1 <= right <= area.width:
        return None
    if type(row) is float:
        down = int(row)
        return (area.flat[(down - 1) * area.width + right - 1],) if 1 <= down <= area.height and row >= 1 else None
    if type(row) is not np.ndarray or row.dtype != np.float64 or isinstance(area, Block):
        return None
    if not ((row >= 1) & (row < area.height + 1)).all():
        return None
    line = area.flat[right - 1 :: area.width][: area.height]
    if any(type(each) is not float for each in line):
        return None
    return (settled(np.array(line)[row.astype(np.int64) - 1]),)


def _match(value: Column, where: Column, kind: Column = 1.0) -> Column:
    """Search by nearest value in an ascending line of plain numbers; all else is slow."""
    if kind != 1.0 or not isinstance(where, Array) or (where.height > 1 and where.width > 1):
        raise Slow
    if type(value) is not np.ndarray or value.dtype != np.float64:
        raise Slow
    pairs = [(place, each) for place, each in enumerate(where.flat) if type(each) is float]
    line = np.array([each for _, each in pairs])
    if not len(line) or (np.diff(line) <= 0).any():
        raise Slow
    after = np.searchsorted(line, value, side="right")
    above = line[np.minimum(after, len(line) - 1)]
    if (after == 0).any() or (np.abs(above - value) < np.abs(value) * 1e-12).any():
        raise Slow
    return settled(np.array([float(place + 1) for place, _ in pairs])[after - 1])


LIST_WAYS: dict[str, Callable[..., Column]] = {
    "f_SUM": _sum,
    "f_SUMPRODUCT": _sum_of_products,
    "f_PRODUCT": _product,
    "f_MAX": _extreme(np.maximum),
    "f_MIN": _extreme(np.minimum),
    "f_MEDIAN": _median,
    "f_COUNT": _count,
    "f_COUNTA": _count_filled,
    "f_COUNTIF": _count_if,
    "f_AND": _logical(np.logical_and),
    "f_OR": _logical(np.logical_or),
    "f_NOT": _not,
    "f_ISNUMBER": _constantly(True, False),
    "f_ISLOGICAL": _constantly(False, True),
    **{f"f_{name}": _constantly(False, False) for name in ("ISBLANK", "ISTEXT", "ISERROR", "ISERR", "ISNA")},
    "f_ISNONTEXT": _constantly(True, True),
    "f_MATCH": _match,
}
