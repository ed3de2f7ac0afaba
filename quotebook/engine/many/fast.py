"""Fast ways of functions over columns: numbers and logicals only, answers equal to the scalar functions' to the bit.

A way raises ``Slow``, or numpy's ``FloatingPointError`` for an overflow or a division by zero, where it cannot answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import ROUND_DOWN, ROUND_FLOOR, ROUND_HALF_UP, ROUND_UP
from typing import Any

import numpy as np

from quotebook.engine import convert
from quotebook.engine.arrays import Array
from quotebook.engine.functions.rounding import rounded
from quotebook.engine.many.columns import Block, Column, Raised, Slow, settled
from quotebook.engine.operators import NOISE
from quotebook.values import ErrorValue


def _number(column: Column) -> Column:
    """Return a column as numbers: an array of float64, or a plain number."""
    kind = type(column)
    if kind is float:
        return column
    if kind is np.ndarray:
        return column if column.dtype == np.float64 else column.astype(np.float64)
    if column is None:
        return 0.0
    if kind is bool:
        return 1.0 if column else 0.0
    raise Slow


def _truth(column: Column) -> Column:
    kind = type(column)
    if kind is bool:
        return column
    if kind is np.ndarray:
        return column if column.dtype == np.bool_ else column != 0.0
    if column is None:
        return False
    if kind is float:
        return column != 0.0
    raise Slow


# -- operators --------------------------------------------------------------------------------------


def _quiet(result: Column, a: Column, b: Column) -> Column:
    """Return a sum with 0 where nothing but binary noise is left, as the scalar operators do."""
    noise = np.abs(result) <= np.abs(a) * NOISE
    if noise.any():
        result = np.where(noise & (np.asarray(b) != 0.0), 0.0, result)
    return result


def _add(left: Column, right: Column) -> Column:
    a, b = _number(left), _number(right)
    return _quiet(a + b, a, b)


def _subtract(left: Column, right: Column) -> Column:
    a, b = _number(left), _number(right)
    return _quiet(a - b, a, b)


def _multiply(left: Column, right: Column) -> Column:
    return _number(left) * _number(right)


def _divide(left: Column, right: Column) -> Column:
    return np.divide(_number(left), _number(right))


def _chain(signs: str, first: Column, *terms: Column) -> Column:
    result = first
    for sign, term in zip(signs, terms, strict=True):
        result = _add(result, term) if sign == "+" else _subtract(result, term)
    return result


def _negate(value: Column) -> Column:
    return 0.0 - _number(value)


def _percent(value: Column) -> Column:
    return _number(value) / 100


def _plus(value: Column) -> Column:
    return value


def _is(column: Column, dtype: type, kind: type) -> bool:
    return (type(column) is np.ndarray and column.dtype == dtype) or type(column) is kind


def _rank(column: Column) -> int:
    """Return the place of a column's kind in the order of kinds: numbers, texts, logicals."""
    if _is(column, np.float64, float) or column is None:
        return 0
    if _is(column, np.bool_, bool):
        return 2
    if type(column) is str:
        return 1
    raise Slow


def _compared(name: str) -> Callable[[Column, Column], Column]:
    by_rank = {"equal": (0, 0), "unequal": (1, 1), "less": (1, 0), "greater": (0, 1), "at_most": (1, 0)}
    below, above = by_rank.get(name, (0, 1))
    compare = {
        "equal": np.equal, "unequal": np.not_equal, "less": np.less, "greater": np.greater,
        "at_most": np.less_equal, "at_least": np.greater_equal,
    }[name]  # fmt: skip
    same = name in ("equal", "at_most", "at_least")

    def way(left: Column, right: Column) -> Column:
        if left is None or right is None:
            other = right if left is None else left
            blank: Column = False if _rank(other) == 2 else 0.0
            left, right = (blank, right) if left is None else (left, blank)
        ranks = _rank(left), _rank(right)
        if ranks[0] != ranks[1]:
            return bool(below if ranks[0] < ranks[1] else above)
        result = compare(left, right)
        if ranks[0] == 0:
            # Numbers that agree in 15 digits are equal to a spreadsheet program.
            close = (np.abs(left - right) < np.abs(left) * 1e-13) & (left != right)
            if close.any():
                a, b = np.broadcast_arrays(left, right)
                result = np.array(result)
                for place in np.flatnonzero(close):
                    if f"{a[place]:.15g}" == f"{b[place]:.15g}":
                        result[place] = same
        return settled(result)

    return way


# -- rounding ---------------------------------------------------------------------------------------


def _rounding(mode: str, default: float | None = None) -> Callable[..., Column]:
    def way(value: Column, digits: Column = default) -> Column:
        if type(digits) is not float:
            raise Slow
        places = int(digits)
        if type(value) is not np.ndarray or value.dtype != np.float64 or not 0 <= places <= 6:
            raise Slow
        ten = 10.0**places
        size = np.abs(value)
        scaled = size * ten
        below = np.floor(scaled)
        part = scaled - below
        # The 15th digit of the scaled number, and its own rounding, are worth less than this.
        doubt = 1e-6 + scaled * 1e-13
        clear = (scaled < 1e11) & (part > doubt) & (part < 1.0 - doubt) & (np.abs(part - 0.5) > doubt)
        if mode == ROUND_HALF_UP:
            whole = below + (part > 0.5)
        elif mode == ROUND_UP:
            whole = below + 1.0
        elif mode == ROUND_FLOOR:
            whole = below + (value < 0)
        else:
            whole = below
        result = np.copysign(whole / ten, value) + 0.0
        # What has no more digits stays what it is; all else that is not clear goes the careful way.
        exact = (part == 0.0) & (scaled < 1e11)
        result = np.where(exact, np.copysign(below / ten, value) + 0.0, result)
        rest = np.flatnonzero(~(clear | exact))
        if len(rest):
            result[rest] = [rounded(each, digits, mode) for each in value[rest].tolist()]
        return settled(result)

    return way


# -- aggregates -------------------------------------------------------------------------------------


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
            found.append(_number(cell))
        elif isinstance(cell, ErrorValue):
            raise Slow
        elif _is(cell, np.float64, float):
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
            factor = cell if _is(cell, np.float64, float) else 0.0
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
        found += _is(cell, np.float64, float) if held else True
    return float(found)


def _count_filled(*arguments: Column) -> Column:
    return float(sum(1 for cell, held in _cells(arguments) if cell is not None or not held))


def _logical(combine: Any) -> Callable[..., Column]:
    def way(*arguments: Column) -> Column:
        result: Column = None
        for cell, held in _cells(arguments):
            if isinstance(cell, ErrorValue):
                raise Slow
            if held and (cell is None or type(cell) is str):
                continue
            truth = _truth(cell)
            result = truth if result is None else combine(result, truth)
        if result is None:
            raise Slow
        return settled(result) if type(result) is np.ndarray else bool(result)

    return way


def _not(value: Column) -> Column:
    return np.logical_not(_truth(value))


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


WAYS: dict[str, Callable[..., Column]] = {
    "number": _number,
    "truth": _truth,
    "scalar": _plus,
    "add": _add,
    "subtract": _subtract,
    "multiply": _multiply,
    "divide": _divide,
    "chain": _chain,
    "negate": _negate,
    "percent": _percent,
    "plus": _plus,
    **{name: _compared(name) for name in ("equal", "unequal", "less", "greater", "at_most", "at_least")},
    "f_ROUND": _rounding(ROUND_HALF_UP),
    "f_ROUNDUP": _rounding(ROUND_UP),
    "f_ROUNDDOWN": _rounding(ROUND_DOWN),
    "f_TRUNC": _rounding(ROUND_DOWN, 0.0),
    "f_INT": _rounding(ROUND_FLOOR, 0.0),
    "f_ABS": np.abs,
    "f_SQRT": np.sqrt,
    "f_SUM": _sum,
    "f_SUMPRODUCT": _sum_of_products,
    "f_PRODUCT": _product,
    "f_MAX": _extreme(np.maximum),
    "f_MIN": _extreme(np.minimum),
    "f_MEDIAN": _median,
    "f_COUNT": _count,
    "f_COUNTA": _count_filled,
    "f_AND": _logical(np.logical_and),
    "f_OR": _logical(np.logical_or),
    "f_NOT": _not,
    "f_ISNUMBER": _constantly(True, False),
    "f_ISLOGICAL": _constantly(False, True),
    **{f"f_{name}": _constantly(False, False) for name in ("ISBLANK", "ISTEXT", "ISERROR", "ISERR", "ISNA")},
    "f_ISNONTEXT": _constantly(True, True),
    "f_MATCH": _match,
}

assert convert.LARGEST  # numpy raises an overflow exactly beyond this number
