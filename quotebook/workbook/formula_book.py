"""What the engine may see of a snapshot: formulas and constants, never a stored result."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from quotebook.engine.book import FormulaBook, TableRange
from quotebook.values import Address, Value
from quotebook.workbook.areas import parse_area
from quotebook.workbook.cell_formulas import DATA_TABLE, EMPTY_FORMULA, NO_FIRST_CELL
from quotebook.workbook.snapshot import Cell, Snapshot, Table

_REASONS = {
    DATA_TABLE: "a what-if table, which only the spreadsheet program can fill",
    NO_FIRST_CELL: "a shared formula whose first cell is missing from the file",
    EMPTY_FORMULA: "a formula without text",
}
#: Characters of formulas that are read in one workbook. One of our own with every table at its limit holds 7 million.
MOST_CHARACTERS = 10_000_000
_NO_ROOM = "a formula that shows #SPILL!, for its result has no room on the sheet"
_TOO_MANY = f"behind {MOST_CHARACTERS:,} characters of formulas, more than are read of one workbook"


def formula_book(snapshot: Snapshot) -> FormulaBook:
    """Return the workbook as the engine is given it.

    Cells filled by an array formula of another cell are neither input nor formula: the array stands for them. What an
    array formula without room would give is nobody's result, so it is not evaluated.
    """
    formulas: dict[Address, str] = {}
    inputs: dict[Address, Value] = {}
    arrays: dict[Address, Address] = {}
    opaque: dict[Address, str] = {}
    characters = 0
    for sheet in snapshot.sheets:
        content = sheet.made_of(_content)
        inputs.update(content.inputs)
        opaque.update(content.opaque)
        blocked = [Address(sheet.title, *key) for key, one in sheet.spilling.items() if one.is_blocked]
        characters += content.characters
        if characters <= MOST_CHARACTERS:
            formulas.update(content.formulas)
            arrays.update(content.arrays)
        else:
            opaque.update(dict.fromkeys(content.formulas, _TOO_MANY))
        for cell in blocked:
            formulas.pop(cell, None)
            arrays.pop(cell, None)
            opaque[cell] = _NO_ROOM
    return FormulaBook(
        sheets=tuple(sheet.title for sheet in snapshot.sheets),
        formulas=formulas,
        inputs=inputs,
        names={(name.sheet, name.name): name.text for name in snapshot.names},
        tables=tuple(entry for table in snapshot.tables for entry in _table_range(table)),
        arrays=arrays,
        opaque=opaque,
        date1904=snapshot.calculation.date1904,
        hidden_rows={sheet.title: sheet.hidden_rows for sheet in snapshot.sheets if sheet.hidden_rows},
    )


class _Content(NamedTuple):
    """The cells of one sheet by what they are to the engine, and how many characters its formulas have."""

    formulas: dict[Address, str]
    inputs: dict[Address, Value]
    arrays: dict[Address, Address]
    opaque: dict[Address, str]
    characters: int


def _content(title: str, cells: Mapping[tuple[int, int], Cell]) -> _Content:
    found = _Content({}, {}, {}, {}, 0)
    make = tuple.__new__  # an Address, without the call of a function in between: there are tens of thousands
    for key, cell in cells.items():
        if cell.kind:
            reason = _REASONS.get(cell.kind, f"an unknown kind of formula ({cell.kind})")
            found.opaque[make(Address, (title, *key))] = reason
        elif cell.formula is not None:
            address = make(Address, (title, *key))
            found.formulas[address] = cell.formula
            area = parse_area(cell.array_range) if cell.array_range else None
            if area is not None:
                found.arrays[address] = Address(title, area.last_row, area.last_column)
        elif cell.value is not None and not cell.part_of_array:
            found.inputs[make(Address, (title, *key))] = cell.value
    return found._replace(characters=sum(map(len, found.formulas.values())))


def _table_range(table: Table) -> list[TableRange]:
    """Return the table as the engine knows it, or nothing if its range cannot be read."""
    area = parse_area(table.range)
    if area is None:
        return []
    return [
        TableRange(
            table.name,
            table.sheet,
            *area,
            columns=table.columns,
            header_rows=table.header_rows,
            totals_rows=table.totals_rows,
        )
    ]
