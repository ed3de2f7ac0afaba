"""Finding values in tables."""

from __future__ import annotations

from collections.abc import Sequence

from quotebook.engine.arrays import Array, Operand, Ref
from quotebook.engine.convert import CellError, NotSupported, scalar
from quotebook.engine.criteria import wildcard
from quotebook.engine.operators import order
from quotebook.engine.registry import function
from quotebook.engine.runtime import one
from quotebook.values import ErrorValue, Value


def _key(value: Value) -> Value | tuple[str, bool]:
    """Return what two values share that a search takes for the same; TRUE is not 1."""
    if isinstance(value, str):
        return value.casefold()
    return ("logical", value) if isinstance(value, bool) else value


def find_exact(value: Value, line: Sequence[Value], array: Array, wildcards: bool = True) -> int:
    """Return the place of the first equal value; numbers must be equal to the last bit, text without capitals.

    Errors: #N/A when there is none.
    """
    value = 0.0 if value is None else value
    if wildcards and isinstance(value, str) and any(sign in value for sign in "*?~"):
        pattern = wildcard(value)
        for index, each in enumerate(line):
            if isinstance(each, str) and pattern.fullmatch(each):
                return index
        raise CellError(ErrorValue.NA)
    if line is array.flat and len(line) > 8:
        positions = array.positions
        if positions is None:
            positions = {}
            for index, each in enumerate(line):
                positions.setdefault(_key(each), index)
            array.positions = positions
        found = positions.get(_key(value))
        if found is None:
            raise CellError(ErrorValue.NA)
        return found
    wanted = _key(value)
    for index, each in enumerate(line):
        if _key(each) == wanted:
            return index
    raise CellError(ErrorValue.NA)


def find_nearest(value: Value, line: Sequence[Value], descending: bool = False) -> int:
    """Return the place of the last value not beyond the one looked for, among values of its kind.

    Errors: #N/A when all lie beyond; NotSupported when the line is not in order, where programs differ.
    """
    value = 0.0 if value is None else value
    scalar(value)
    kind = type(value)
    found, last = -1, None
    for index, each in enumerate(line):
        if type(each) is not kind:
            continue
        if last is not None and (order(last, each) < 0 if descending else order(last, each) > 0):
            raise NotSupported("a search by nearest value in a line that is not in order depends on the program")
        last = each
        if order(each, value) >= 0 if descending else order(each, value) <= 0:
            found = index
    if found < 0:
        raise CellError(ErrorValue.NA)
    return found


def _line(array: Array) -> Sequence[Value]:
    if array.height > 1 and array.width > 1:
        raise CellError(ErrorValue.NA)
    return array.flat


def _as_array(value: Operand) -> Array:
    return value if isinstance(value, Array) else Array(1, 1, (value,))


@function("MATCH", "v a [n]", "n")
def match(value: Value, where: Operand, kind: float = 1.0) -> float:
    """Return the place of a value in a row or column, counted from 1."""
    array = _as_array(where)
    line = _line(array)
    if kind == 0:
        return float(find_exact(value, line, array) + 1)
    return float(find_nearest(value, line, descending=kind < 0) + 1)


@function("INDEX", "A n [n n]", "a")
def index(area: Operand, row: float, column: float | None = None, part: float = 1.0) -> Operand:
    """Return one cell of a range by row and column, or a whole row or column where the other is 0."""
    if part != 1:
        raise CellError(ErrorValue.REF)
    array = _as_array(area)
    down, right = int(row), int(column) if column is not None else None
    if down < 0 or (right is not None and right < 0):
        raise CellError(ErrorValue.VALUE)
    if right is None:
        right = 0
        if array.height == 1 and array.width > 1:
            down, right = (1, down) if down else (0, 0)
        elif array.width == 1:
            right = 1
    height = array.full_height if isinstance(array, Ref) else array.height
    width = array.full_width if isinstance(array, Ref) else array.width
    if down > height or right > width:
        raise CellError(ErrorValue.REF)
    if down and right:
        inside = down <= array.height and right <= array.width
        value = array.flat[(down - 1) * array.width + right - 1] if inside else None
        return array.part((value,), 1, 1)
    if down:
        return array.part(array.row(down - 1), 1, array.width)
    if right:
        return array.part(array.column(right - 1), array.height, 1)
    return array


def index_value(area: Operand, row: float, column: float | None = None, part: float = 1.0) -> Value:
    """Return INDEX where one value is wanted."""
    if isinstance(area, Array) and part == 1 and row >= 1:
        down, right = int(row), 1 if column is None and area.width == 1 else int(column or 0.0)
        if down <= area.height and 1 <= right <= area.width:
            return area.flat[(down - 1) * area.width + right - 1]
    return one(index(area, row, column, part))


def _nearest_or_exact(value: Value, line: Sequence[Value], array: Array, approximate: bool) -> int:
    return find_nearest(value, line) if approximate else find_exact(value, line, array)


@function("VLOOKUP", "v a n [b]", "v")
def lookup_down(value: Value, table: Operand, column: float, approximate: bool = True) -> Value:
    """Find a value in the first column and return the cell of another column in its row."""
    array = _as_array(table)
    if column < 1:
        raise CellError(ErrorValue.VALUE)
    if int(column) > array.width:
        raise CellError(ErrorValue.REF)
    row = _nearest_or_exact(value, array.column(0) if array.width > 1 else array.flat, array, approximate)
    return array.flat[row * array.width + int(column) - 1]


@function("HLOOKUP", "v a n [b]", "v")
def lookup_across(value: Value, table: Operand, row: float, approximate: bool = True) -> Value:
    """Find a value in the first row and return the cell of another row in its column."""
    array = _as_array(table)
    if row < 1:
        raise CellError(ErrorValue.VALUE)
    if int(row) > array.height:
        raise CellError(ErrorValue.REF)
    column = _nearest_or_exact(value, array.row(0) if array.height > 1 else array.flat, array, approximate)
    return array.flat[(int(row) - 1) * array.width + column]


@function("LOOKUP", "v A [A]", "v")
def lookup(value: Value, where: Operand, results: Operand = None) -> Value:
    """Find the nearest value in a sorted line and return the one beside it."""
    array = _as_array(where)
    if results is None:
        # Without results the longer side of the table is searched, and its other edge answered.
        if array.width > array.height:
            return array.row(array.height - 1)[find_nearest(value, array.row(0))]
        return array.column(array.width - 1)[find_nearest(value, array.column(0))]
    place = find_nearest(value, _line(array))
    line = _line(_as_array(results))
    if place >= len(line):
        raise CellError(ErrorValue.NA)
    return line[place]


@function("XLOOKUP", "v a a [e n n]", "a")
def extended_lookup(
    value: Value, where: Operand, results: Operand, missing: Value = ErrorValue.NA, mode: float = 0, search: float = 1
) -> Operand:
    """Find a value in a line and return the cell, row or column beside it."""
    array, answers = _as_array(where), _as_array(results)
    line = _line(array)
    if search not in (1, -1):
        raise NotSupported(f"XLOOKUP with search mode {search:g} is not supported")
    try:
        place = _extended_place(value, line, array, mode, backwards=search == -1)
    except CellError as error:
        if error.value is ErrorValue.NA and missing is not ErrorValue.NA:
            return missing
        raise
    down = array.height > 1 or (array.width == 1 and answers.height == 1)
    if (answers.height if down else answers.width) < len(line):
        raise CellError(ErrorValue.VALUE)
    if down:
        return answers.part(answers.row(place), 1, answers.width)
    return answers.part(answers.column(place), answers.height, 1)


def _extended_place(value: Value, line: Sequence[Value], array: Array, mode: float, backwards: bool) -> int:
    if backwards:
        mirrored = line[::-1]
        return len(line) - 1 - _extended_place(value, mirrored, Array(len(line), 1, mirrored), mode, False)
    if mode in (0, 2):
        return find_exact(value, line, array, wildcards=mode == 2)
    if mode not in (-1, 1):
        raise CellError(ErrorValue.VALUE)
    try:
        return find_exact(value, line, array, wildcards=False)
    except CellError:
        best = -1
        for place, each in enumerate(line):
            if type(each) is not type(value) or order(each, value) != mode:
                continue
            if best < 0 or order(each, line[best]) == -mode:
                best = place
        if best < 0:
            raise
        return best


@function("HYPERLINK", "v [v]", "v")
def hyperlink(target: Value, label: Value = None) -> Value:
    """Return what the cell shows: the label, or the target without one."""
    return target if label is None else label
