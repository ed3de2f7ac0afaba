"""What generated programs call beside operators and functions."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from quotebook.engine.arrays import Array, Operand, Ref, Unreadable
from quotebook.engine.convert import CellError, NotSupported, fifteen, scalar, truth
from quotebook.engine.operators import equal, place
from quotebook.values import ErrorValue, Value

#: A range read openly may hold so many cells within the used area.
LARGEST_OPEN_AREA = 2_000_000
_ROW_NUMBER = re.compile(r"\$?([1-9][0-9]{0,6})")


@dataclass(slots=True)
class Environment:
    """What a run knows besides cells: the date system, the moment, and the inputs by sheet for open ranges."""

    date1904: bool
    now: datetime
    inputs: dict[str, dict[tuple[int, int], Value]] = field(default_factory=dict)


class OpenArea(NamedTuple):
    """A range too large to be laid out, such as a whole column; only its used part is read."""

    top: int
    left: int
    bottom: int
    right: int
    sheet: str
    known: dict[tuple[int, int], int]

    def read(self, values: Sequence[Value], environment: Environment) -> Ref:
        """Return the cells up to the last one in use; ``known`` gives the slots of the program's own cells."""
        top, left, bottom, right, sheet, known = self
        inputs = {
            cell: value
            for cell, value in environment.inputs.get(sheet, {}).items()
            if top <= cell[0] <= bottom and left <= cell[1] <= right and value is not None
        }
        last_row = max([cell[0] for cell in (*known, *inputs)], default=top)
        last_column = max([cell[1] for cell in (*known, *inputs)], default=left)
        height, width = last_row - top + 1, last_column - left + 1
        if height * width > LARGEST_OPEN_AREA:
            return Unreadable(NotSupported(f"a range of {height * width} cells in use is too large"))
        flat: list[Value] = [None] * (height * width)
        for (row, column), value in inputs.items():
            flat[(row - top) * width + column - left] = value
        for (row, column), slot in known.items():
            flat[(row - top) * width + column - left] = values[slot]
        return Ref(height, width, flat, bottom - top + 1, right - left + 1)


def one(value: Operand) -> Value:
    """Return the only value of a 1 x 1 array, or a scalar as it is.

    Errors: NotSupported for a larger array, since programs differ in which of its values they show.
    """
    if not isinstance(value, Array):
        return value
    if value.height == value.width == 1 and value.flat:
        return value.flat[0]
    raise NotSupported("a range is the result where one value is wanted")


def spread(values: list[Value], slots: Sequence[int], height: int, width: int, result: Operand) -> None:
    """Put the result of an array formula into its cells; a blank becomes 0, cells beyond the result #N/A."""
    for index, slot in enumerate(slots):
        value = place(result, index // width, index % width) if isinstance(result, Array) else result
        values[slot] = 0.0 if value is None else value


def fill(values: list[Value], slots: Sequence[int], value: Value) -> None:
    """Put one value into all cells of an array formula."""
    for slot in slots:
        values[slot] = value


Thunk = Callable[[], Operand]


def if_error(compute: Thunk, instead: Thunk) -> Operand:
    """Return the first, or the second where the first is an error."""
    try:
        value = compute()
    except CellError:
        return instead()
    return instead() if isinstance(value, ErrorValue) else value


def if_na(compute: Thunk, instead: Thunk) -> Operand:
    """Return the first, or the second where the first is #N/A."""
    try:
        value = compute()
    except CellError as error:
        if error.value is not ErrorValue.NA:
            raise
        return instead()
    return instead() if value is ErrorValue.NA else value


def choose(index: float, branches: Sequence[Thunk]) -> Operand:
    """Return the branch counted from 1; #VALUE! outside."""
    if not 1 <= index < len(branches) + 1:
        raise CellError(ErrorValue.VALUE)
    return branches[int(index) - 1]()


def switch(value: Operand, pairs: Sequence[tuple[Thunk, Thunk]], otherwise: Thunk | None) -> Operand:
    """Return the result beside the first equal candidate, else the last, else #N/A."""
    scalar(value)
    for candidate, result in pairs:
        if equal(value, candidate()):
            return result()
    if otherwise is None:
        raise CellError(ErrorValue.NA)
    return otherwise()


def not_available() -> Operand:
    """Raise #N/A: no branch applies."""
    raise CellError(ErrorValue.NA)


def if_array(condition: Operand, yes: Thunk, no: Thunk) -> Operand:
    """Return IF over an array: both branches are computed and chosen place by place."""
    assert isinstance(condition, Array), "a scalar condition is compiled to a plain choice"
    branches = []
    for branch in (yes, no):
        try:
            branches.append(branch())
        except CellError as error:
            branches.append(error.value)
    shapes = [each for each in (condition, *branches) if isinstance(each, Array)]
    height, width = max(each.height for each in shapes), max(each.width for each in shapes)
    flat: list[Value] = []
    for row in range(height):
        for column in range(width):
            try:
                chosen = branches[0] if truth(place(condition, row, column)) else branches[1]
            except CellError as error:
                flat.append(error.value)
                continue
            flat.append(place(chosen, row, column) if isinstance(chosen, Array) else chosen)
    return Array(height, width, flat)


def replace_error(value: Value, instead: Value) -> Value:
    """Return IFERROR of two values, for arrays."""
    return instead if isinstance(value, ErrorValue) else value


def replace_na(value: Value, instead: Value) -> Value:
    """Return IFNA of two values, for arrays."""
    return instead if value is ErrorValue.NA else value


def without(area: Ref, places: Sequence[tuple[int, int]]) -> Ref:
    """Return a reference with some cells blanked, for SUBTOTAL; ``places`` are rows and columns from 0."""
    flat = list(area.flat)
    for row, column in places:
        if row < area.height and column < area.width:
            flat[row * area.width + column] = None
    return Ref(area.height, area.width, flat, area.full_height, area.full_width)


def moved(
    area: Operand, first_row: float, first_column: float, rows: float, columns: float, height: float, width: float
) -> Array:
    """Return the rectangle that OFFSET means, cut from all that it may reach.

    ``first_row`` and ``first_column``: where its base stands in the area, from 0. Errors: #REF! beyond the sheet or
    without a cell; NotSupported for a negative height or width, of which programs make different things.
    """
    assert isinstance(area, Array), "an area is read before it is cut"
    down, right = int(first_row) + whole_moves(rows), int(first_column) + whole_moves(columns)
    tall, wide = whole_moves(height), whole_moves(width)
    if tall < 0 or wide < 0:
        raise NotSupported("OFFSET with a negative height or width is not supported")
    full_height, full_width = getattr(area, "full_height", area.height), getattr(area, "full_width", area.width)
    if not tall or not wide or down < 0 or right < 0 or down + tall > full_height or right + wide > full_width:
        raise CellError(ErrorValue.REF)
    if tall * wide > LARGEST_OPEN_AREA:
        raise NotSupported(f"a range of {tall * wide} cells in use is too large")
    cells = [
        area.flat[row * area.width + column] if row < area.height and column < area.width else None
        for row in range(down, down + tall)
        for column in range(right, right + wide)
    ]
    return Ref(tall, wide, cells)


def in_row(area: Operand, row: str) -> Array:
    """Return the cell of a column that INDIRECT means by letters and a row put together.

    Errors: NotSupported for a text that is no row, such as "5:B7", which may mean a range.
    """
    found = _ROW_NUMBER.fullmatch(row)
    if found is None:
        raise NotSupported("INDIRECT of letters and something that is no row number is not supported")
    return moved(area, 0.0, 0.0, float(found[1]) - 1, 0.0, 1.0, 1.0)


def whole_moves(number: float) -> int:
    """Return a number of rows or columns to move by: decimals are cut off, binary noise is none."""
    return int(fifteen(number))
