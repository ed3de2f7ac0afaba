"""Fast ways of operators and of rounding over columns; ``fast`` says what they promise."""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_DOWN, ROUND_FLOOR, ROUND_HALF_UP, ROUND_UP

import numpy as np

from quotebook.engine import convert
from quotebook.engine.functions.rounding import rounded
from quotebook.engine.many.columns import Column, Slow, settled
from quotebook.engine.operators import NOISE


def as_number(column: Column) -> Column:
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


def as_truth(column: Column) -> Column:
    """Return a column as logicals: an array of bool, or a plain one."""
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
    a, b = as_number(left), as_number(right)
    return _quiet(a + b, a, b)


def _subtract(left: Column, right: Column) -> Column:
    a, b = as_number(left), as_number(right)
    return _quiet(a - b, a, b)


def _multiply(left: Column, right: Column) -> Column:
    return as_number(left) * as_number(right)


def _divide(left: Column, right: Column) -> Column:
    return np.divide(as_number(left), as_number(right))


def _chain(signs: str, first: Column, *terms: Column) -> Column:
    result = first
    for sign, term in zip(signs, terms, strict=True):
        result = _add(result, term) if sign == "+" else _subtract(result, term)
    return result


def _negate(value: Column) -> Column:
    return 0.0 - as_number(value)


def _percent(value: Column) -> Column:
    return as_number(value) / 100


def _plus(value: Column) -> Column:
    return value


def holds(column: Column, dtype: type, kind: type) -> bool:
    """Tell whether a column is an array of ``dtype`` or a plain value of ``kind``."""
    return (type(column) is np.ndarray and column.dtype == dtype) or type(column) is kind


def _rank(column: Column) -> int:
    """Return the place of a column's kind in the order of kinds: numbers, texts, logicals."""
    if holds(column, np.float64, float) or column is None:
        return 0
    if holds(column, np.bool_, bool):
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


VALUE_WAYS: dict[str, Callable[..., Column]] = {
    "number": as_number,
    "truth": as_truth,
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
}

assert convert.LARGEST  # numpy raises an overflow exactly beyond this number
