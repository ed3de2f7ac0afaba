"""One value for each case, in the form that is fastest to compute with.

A *column* is one of:

* a plain value: the same in every case;
* an array of float64: a number in every case;
* an array of bool: a logical in every case;
* an array of objects: whatever each case gives, ``Raised`` where the formula stops with an error.

``Raised`` stands for an exception on its way through a formula, which is not the same as an error value that a cell
holds: of two operands, one that raises wins over one that is merely an error.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import repeat
from typing import Any

import numpy as np

from quotebook.engine.arrays import Array, Ref
from quotebook.engine.convert import CellError, NotSupported
from quotebook.values import Value

Column = Any


class Raised:
    """An exception as a value."""

    __slots__ = ("error",)

    def __init__(self, error: CellError | NotSupported) -> None:
        self.error = error


class Slow(Exception):
    """The fast way does not apply; the slow one gives the answer."""


class Block:
    """A rectangle of columns; ``ref`` tells that it stands for cells, as ``Ref`` does."""

    __slots__ = ("flat", "full_height", "full_width", "height", "ref", "width")

    def __init__(
        self, height: int, width: int, flat: Sequence[Column], ref: bool, full_height: int = 0, full_width: int = 0
    ) -> None:
        self.height, self.width, self.flat, self.ref = height, width, flat, ref
        self.full_height, self.full_width = full_height or height, full_width or width

    def case(self, values: Sequence[Value]) -> Array:
        """Return the rectangle of one case."""
        if self.ref:
            return Ref(self.height, self.width, values, self.full_height, self.full_width)
        return Array(self.height, self.width, values)

    def cases(self, count: int) -> Iterator[Array | Raised]:
        """Yield the rectangle of each case; what cannot be computed in one place stops the whole."""
        for values in zip(*[items(cell, count) for cell in self.flat], strict=True):
            stopped = next((value for value in values if type(value) is Raised), None)
            yield stopped if stopped is not None else self.case(values)


def block(height: int, width: int, flat: Sequence[Column], ref: bool) -> Block | Array:
    """Return a rectangle; a plain one where no case differs."""
    if any(type(cell) is np.ndarray or type(cell) is Raised for cell in flat):
        return Block(height, width, flat, ref)
    return (Ref if ref else Array)(height, width, flat)


def varies(column: Column) -> bool:
    """Tell whether cases may differ."""
    return type(column) is np.ndarray or type(column) is Block


def items(column: Column, count: int) -> Iterable[Any]:
    """Return what each case holds."""
    if type(column) is np.ndarray:
        listed: list[Any] = column.tolist()
        return listed
    if type(column) is Block:
        return column.cases(count)
    return repeat(column, count)


def objects(values: Sequence[Any]) -> Column:
    """Return a column of what each case gives, in the fastest form that holds it."""
    first = type(values[0])
    if first is float or first is bool:
        for value in values:
            if type(value) is not first:
                break
        else:
            return settled(np.array(values, dtype=first))
    column = np.empty(len(values), dtype=object)
    column[:] = values
    return settled(column)


def settled(column: Column) -> Column:
    """Return the plain value where every case has the same."""
    if type(column) is not np.ndarray:
        return column
    if column.dtype != object:
        bits = column.view(np.int64) if column.dtype == np.float64 else column
        if bits[0] == bits[-1] and bool((bits == bits[0]).all()):
            return column[0].item()
        return column
    first = column[0]
    kind = type(first)
    if kind is Raised:
        return column
    for value in column:
        if value is not first and (type(value) is not kind or value != first):
            return column
    return first


def as_objects(column: Column, count: int) -> np.ndarray[Any, Any]:
    """Return a column as an array of objects."""
    if type(column) is np.ndarray:
        return column if column.dtype == object else column.astype(object)
    result = np.empty(count, dtype=object)
    result.fill(column)
    return result


def merged(mask: np.ndarray[Any, Any], yes: Column, no: Column, count: int) -> Column:
    """Return ``yes`` where the mask holds and ``no`` elsewhere."""
    for kind, dtype in ((float, np.float64), (bool, np.bool_)):
        if all((type(each) is np.ndarray and each.dtype == dtype) or type(each) is kind for each in (yes, no)):
            return np.where(mask, yes, no)
    if type(yes) in (Block, Array, Ref) or type(no) in (Block, Array, Ref):
        raise Slow
    result = as_objects(no, count).copy()
    result[mask] = as_objects(yes, count)[mask]
    return tidy(result)


def tidy(column: np.ndarray[Any, Any]) -> Column:
    """Return an array of objects in a faster form if it holds nothing but numbers or nothing but logicals."""
    kinds = set(map(type, column))
    if kinds == {float} or kinds == {bool}:
        return column.astype(kinds.pop())
    return column
