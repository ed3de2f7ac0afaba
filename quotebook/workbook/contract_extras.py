"""What a contract says beside its fields: the cells around them, and the shop's figures as the workbook was made.

A cell around the fields is placed by the nearest named cell, so that inserted rows do not matter.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from quotebook.template.plan import Placed, Plan, PlannedCell
from quotebook.values import Address, Value


@dataclass(frozen=True, slots=True)
class OtherCell:
    """A cell that is no field, ``down`` rows and ``right`` columns from the first cell of the name ``anchor``.

    ``look``: label, heading, unit, text, state and so on. ``text``: its words, or with ``=`` before it its formula in
    field names, for the lot ``lot`` if any.
    """

    look: str
    anchor: str
    down: int
    right: int
    lot: int | None
    text: str

    @property
    def is_formula(self) -> bool:
        """Tell whether it holds a formula."""
        return self.text.startswith("=")


def other_rows(plan: Plan) -> Iterator[list[str]]:
    """Yield the contract's rows for the cells that are no fields, sheet by sheet."""
    for sheet in plan.sheets:
        title = sheet.spec.title
        anchors = {
            placed.field.name: (placed.row, placed.column) for placed in plan.placed.values() if placed.sheet == title
        }
        own = set(_field_cells(plan, title))
        anchors |= {cell.name: key for key, cell in sheet.cells.items() if cell.name}
        for key, cell in sorted(sheet.cells.items()):
            if key in own or cell.name or not (cell.text or cell.source):
                continue
            yield _row(cell, key, anchors, plan)


def _field_cells(plan: Plan, title: str) -> Iterator[tuple[int, int]]:
    for placed in plan.placed.values():
        if placed.sheet == title:
            for row in range(placed.row, placed.row + placed.rows):
                for column in range(placed.column, placed.column + placed.columns):
                    yield row, column


def _row(cell: PlannedCell, key: tuple[int, int], anchors: Mapping[str, tuple[int, int]], plan: Plan) -> list[str]:
    row, column = key

    def distance(name: str) -> tuple[bool, int, int]:
        place = anchors[name]
        # A cell below moves along with what is above it; a heading must therefore hang on the field below it.
        return place[0] < row, abs(place[0] - row), abs(place[1] - column)

    anchor = min(anchors, key=distance)
    below = anchors[anchor]
    if anchor in plan.placed and plan.placed[anchor].shape == "lot column":
        anchor = f"{anchor}_first"
    lot = "" if cell.lot is None else str(cell.lot)
    text = f"={cell.source}" if cell.source else cell.text
    return ["cell", cell.look, anchor, str(row - below[0]), str(column - below[1]), lot, text]


def other_cell(row: list[str]) -> OtherCell:
    """Return the cell that a contract row describes. Errors: ValueError, IndexError for a row that was edited."""
    return OtherCell(row[1], row[2], int(row[3]), int(row[4]), int(row[5]) if row[5] else None, row[6])


def made_rows(plan: Plan, inputs: Mapping[Address, Value]) -> Iterator[list[str]]:
    """Yield one row for each of the shop's own fields with the values that the workbook is made with."""
    for placed in plan.placed.values():
        bind = placed.table_bind or placed.field.bind
        if not placed.field.is_input or not bind.startswith("shop."):
            continue
        values = [_written(inputs.get(cell)) for cell in _cells(placed)]
        while values and not values[-1]:
            values.pop()
        if values:
            yield ["made", placed.field.name, *values]


def _cells(placed: Placed) -> Iterator[Address]:
    for row in range(placed.rows):
        yield Address(placed.sheet, placed.row + row, placed.column)


def _written(value: Value) -> str:
    """Return a value in plain ASCII, with nothing that a program that saves the file might change."""
    return "" if value is None else json.dumps(value).replace("_x", "\\u005fx")


def read_made(row: list[str]) -> tuple[Value, ...]:
    """Return the values of such a row. Errors: ValueError for a row that was edited."""
    return tuple(_read(text) for text in row[2:])


def _read(text: str) -> Value:
    if not text:
        return None
    value: Any = json.loads(text)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
