"""What people typed into a workbook, as the data of a shop profile and a job.

Nothing is judged here: a text where a number belongs is handed on as that text, and the models refuse it by name.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from quotebook.template.plan import Placed
from quotebook.template.spec import FieldSpec
from quotebook.values import Address, Value
from quotebook.workbook.aligned import row_at_home
from quotebook.workbook.located import Located
from quotebook.workbook.snapshot import Snapshot

_WHOLE = ("pieces", "count", "days")


@dataclass(frozen=True, slots=True)
class Inputs:
    """``job`` and ``shop`` as plain data; ``places``: data path (with row numbers from 0) to the cell it came from.

    ``data``: everything, by the first word of its path; templates of other kinds have other words.
    """

    job: Mapping[str, Any]
    shop: Mapping[str, Any]
    places: Mapping[tuple[str | int, ...], Address]
    data: Mapping[str, Any] = field(default_factory=dict)


def read_inputs(snapshot: Snapshot, located: Located) -> Inputs:
    """Return the inputs of a workbook that carries a contract. Blank cells are left out."""
    data: dict[str, Any] = {"job": {}, "shop": {}}
    places: dict[tuple[str | int, ...], Address] = {}
    tables: dict[str, list[Placed]] = {}
    for placed in located.fields.values():
        if not placed.field.is_input:
            continue
        if placed.shape == "scalar":
            address = Address(placed.sheet, placed.row, placed.column)
            value = from_cell(snapshot.value(address), placed.field, snapshot.calculation.date1904)
            if value is not None:
                path = tuple(placed.field.bind.split("."))
                _put(data, path, value)
                places[path] = address
        else:
            tables.setdefault(placed.table_bind, []).append(placed)
    for bind, columns in tables.items():
        _read_table(snapshot, located, bind, columns, data, places)
    return Inputs(data["job"], data["shop"], places, data)


def from_cell(value: Value, field: FieldSpec, date1904: bool = False) -> Any:
    """Return a cell's content as the data hold it, or None for a blank cell."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    if isinstance(value, bool):
        return value if field.type == "yesno" else str(value).upper()
    if isinstance(value, float):
        return _from_number(value, field, date1904)
    text = str(value)
    if field.type == "yesno" and text.strip().lower() in ("yes", "no"):
        return text.strip().lower() == "yes"
    return text


def _from_number(value: float, field: FieldSpec, date1904: bool) -> Any:
    if field.type == "date":
        zero = datetime.date(1904, 1, 1) if date1904 else datetime.date(1899, 12, 30)
        try:
            return zero + datetime.timedelta(days=int(value)) if value == int(value) else value
        except (OverflowError, ValueError):
            return value
    if field.holds_words:
        return f"{value:.15g}"
    return int(value) if field.type in _WHOLE and value == int(value) else value


def _read_table(
    snapshot: Snapshot,
    located: Located,
    bind: str,
    columns: list[Placed],
    data: dict[str, Any],
    places: dict[tuple[str | int, ...], Address],
) -> None:
    """Collect the rows of one list; columns on other sheets follow the row that their own formulas refer to."""
    key = located.fields.get(columns[0].table_key)
    home = key.sheet if key is not None else columns[0].sheet
    rows: dict[int, dict[str, tuple[Any, Address]]] = {}
    for placed in columns:
        sheet = snapshot.sheet(placed.sheet)
        if sheet is None:
            continue
        for index in range(placed.rows):
            row = placed.row + index
            cell = sheet.cells.get((row, placed.column))
            if cell is None or cell.value is None:  # most rows of a table are left blank
                continue
            value = from_cell(cell.value, placed.field, snapshot.calculation.date1904)
            if value is None:
                continue
            address = Address(placed.sheet, row, placed.column)
            if key is not None and placed.sheet != home:
                row = row_at_home(snapshot, address, key) or key.row + index
            rows.setdefault(row, {})[placed.field.bind] = (value, address)
    path = tuple(bind.split("."))
    listed: list[Any] = []
    for row in sorted(rows):
        for word, (_, address) in rows[row].items():
            places[(*path, len(listed)) if word == "." else (*path, len(listed), word)] = address
        values = {word: value for word, (value, _) in rows[row].items()}
        listed.append(values.get(".", values))
    if listed:
        _put(data, path, listed)


def _put(data: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    for step in path[:-1]:
        data = data.setdefault(step, {})
    data[path[-1]] = value
