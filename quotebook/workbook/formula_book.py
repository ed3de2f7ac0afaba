"""What the engine may see of a snapshot: formulas and constants, never a stored result."""

from __future__ import annotations

from quotebook.engine.book import FormulaBook, TableRange
from quotebook.values import Address, Value
from quotebook.workbook.areas import parse_area
from quotebook.workbook.cell_formulas import DATA_TABLE, EMPTY_FORMULA, NO_FIRST_CELL
from quotebook.workbook.snapshot import Snapshot, Table

_REASONS = {
    DATA_TABLE: "a what-if table, which only the spreadsheet program can fill",
    NO_FIRST_CELL: "a shared formula whose first cell is missing from the file",
    EMPTY_FORMULA: "a formula without text",
}
#: Characters of formulas that are read in one workbook; a hundred times what a large quote holds.
MOST_CHARACTERS = 2_000_000
_TOO_MANY = f"behind {MOST_CHARACTERS:,} characters of formulas, more than are read of one workbook"


def formula_book(snapshot: Snapshot) -> FormulaBook:
    """Return the workbook as the engine is given it.

    Cells filled by an array formula of another cell are neither input nor formula: the array stands for them.
    """
    formulas: dict[Address, str] = {}
    inputs: dict[Address, Value] = {}
    arrays: dict[Address, Address] = {}
    opaque: dict[Address, str] = {}
    characters = 0
    for sheet in snapshot.sheets:
        for (row, column), cell in sheet.cells.items():
            if cell.formula is None and (cell.value is None or cell.part_of_array) and not cell.kind:
                continue
            address = Address(sheet.title, row, column)
            if cell.kind:
                opaque[address] = _REASONS.get(cell.kind, f"an unknown kind of formula ({cell.kind})")
            elif cell.formula is None:
                inputs[address] = cell.value
            elif (characters := characters + len(cell.formula)) > MOST_CHARACTERS:
                opaque[address] = _TOO_MANY
            else:
                formulas[address] = cell.formula
                area = parse_area(cell.array_range) if cell.array_range else None
                if area is not None:
                    arrays[address] = Address(sheet.title, area.last_row, area.last_column)
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
