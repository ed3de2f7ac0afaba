"""From field names to references: ``= setup_hours * setup_rate`` becomes a formula of the sheet.

How a name is read depends on where the formula stands:

* a field of a form: its defined name, wherever it is used;
* a column of the table that the formula stands in (or of a table aligned with it): the cell of the same row;
* a series: the cell of the same lot; in a table with one row for each quantity break, the cell of that break;
* a column of the quantity-break table, used in a series: the row of that break.

``name[]`` is the whole range, ``name[@:]`` from this row to the last, ``name[:@]`` from the first to this row,
``name[-1]`` the neighbour before, ``name[3]`` the third cell counted from 1; ``name[lot 0]`` is, for a field with a
column for each lot, this row's cell of the first piece alone.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from quotebook.errors import TemplateError
from quotebook.template.plan import Placed
from quotebook.values import column_letters

BREAKS = "quantity_breaks"
_TOKEN = re.compile(r'"(?:[^"]|"")*"|(?P<name>[a-z][a-z0-9]*(?:_[a-z0-9]+)+)(?P<index>\[[^\]]*\])?')


@dataclass(frozen=True, slots=True)
class Place:
    """Where a formula stands: its sheet, and the row of its table and the lot it is for (both from 0), if any.

    ``home_row``: which row of the tables on other sheets is meant, where rows were inserted there; None: the same row.
    """

    sheet: str
    row_key: str = ""
    row: int | None = None
    lot: int | None = None
    home_row: int | None = None


def resolve(formula: str, place: Place, placed: Mapping[str, Placed], extra: Mapping[str, str]) -> str:
    """Return the formula with every field name turned into a reference or a defined name.

    ``extra``: further defined names (counts of a checklist) that may be used as they are.
    Errors: TemplateError names the unknown field, or the name that has no meaning at this place.
    """

    def one(match: re.Match[str]) -> str:
        name = match["name"]
        if name is None:
            return match[0]
        if name in placed:
            return _reference(placed[name], (match["index"] or "")[1:-1] if match["index"] else None, place)
        if name in extra and not match["index"]:
            return name
        raise TemplateError(f"{place.sheet}: formula {formula!r} uses {name!r}, which is no field of the template")

    return _TOKEN.sub(one, formula)


def lot_name(name: str, lot: int) -> str:
    """Return the defined name of one lot's column of a per-lot field: ``..._first``, ``..._lot_1``, ``..._lot_2``."""
    return f"{name}_first" if lot == 0 else f"{name}_lot_{lot}"


def area(sheet: str, row: int, column: int, rows: int = 1, columns: int = 1, absolute: bool = True) -> str:
    """Return the reference text of a rectangle on a sheet; rows and columns from 1."""
    mark = "$" if absolute else ""
    first = f"{mark}{column_letters(column)}{mark}{row}"
    last = f"{mark}{column_letters(column + columns - 1)}{mark}{row + rows - 1}"
    return f"{quoted(sheet)}!{first}" if first == last else f"{quoted(sheet)}!{first}:{last}"


def quoted(sheet: str) -> str:
    """Return a sheet title as it stands in a reference."""
    if sheet.isascii() and sheet.isalpha() and len(sheet) > 2:
        return sheet
    return "'" + sheet.replace("'", "''") + "'"


def _reference(target: Placed, index: str | None, place: Place) -> str:
    if target.shape == "scalar":
        if index is not None:
            raise TemplateError(f"{place.sheet}: {target.field.name} is a single cell and takes no [{index}]")
        return target.field.name
    if index == "":
        return _whole(target, place)
    if index in ("@:", ":@"):
        return _part(target, index, place)
    if index is not None and re.fullmatch(r"lot [0-9]+", index):
        return _cell(target, _position(target, place), replace(place, lot=int(index[4:])), absolute=False)
    if index is not None and re.fullmatch(r"[1-9][0-9]*", index):
        return _cell(target, int(index) - 1, place, absolute=True)
    if index is not None and not re.fullmatch(r"-[1-9][0-9]*", index):
        raise TemplateError(f"{place.sheet}: {target.field.name}[{index}] is not understood")
    return _cell(target, _position(target, place) + int(index or 0), place, absolute=False)


def _position(target: Placed, place: Place) -> int:
    """Return which cell of the target belongs to this place, counted from 0 along the target."""
    if target.shape == "series":
        if place.lot is not None:
            return place.lot
        if place.row is not None and place.row_key == BREAKS:
            return place.row + 1
    elif place.row is not None and place.row_key == target.row_key:
        return place.row if place.home_row is None or target.sheet == place.sheet else place.home_row
    elif place.lot is not None and place.lot > 0 and target.row_key == BREAKS:
        return place.lot - 1
    raise TemplateError(f"{place.sheet}: {target.field.name} means no single cell here; use {target.field.name}[]")


def _whole(target: Placed, place: Place) -> str:
    if target.shape != "lot column":
        return target.field.name
    if place.lot is None:
        raise TemplateError(f"{place.sheet}: {target.field.name}[] has a column for each lot; there is no lot here")
    return lot_name(target.field.name, place.lot)


def _cell(target: Placed, position: int, place: Place, absolute: bool) -> str:
    row, column = target.row, target.column
    if target.shape == "series":
        column += position
        inside = 0 <= position < target.columns
    else:
        row += position
        inside = 0 <= position < target.rows
        if target.shape == "lot column":
            if place.lot is None:
                raise TemplateError(f"{place.sheet}: {target.field.name} has a column for each lot; no lot here")
            column += place.lot
    if not inside:
        raise TemplateError(f"{place.sheet}: {target.field.name} has no cell {position + 1}")
    text = area(target.sheet, row, column, absolute=absolute)
    return text.split("!", 1)[1] if target.sheet == place.sheet else text


def _part(target: Placed, index: str, place: Place) -> str:
    if target.shape != "column" or place.row is None or place.row_key != target.row_key:
        raise TemplateError(f"{place.sheet}: {target.field.name}[{index}] needs a row of the same table")
    here, letters = target.row + place.row, column_letters(target.column)
    last = target.row + target.rows - 1
    text = f"{letters}{here}:{letters}${last}" if index == "@:" else f"{letters}${target.row}:{letters}{here}"
    return text if target.sheet == place.sheet else f"{quoted(target.sheet)}!{text}"
