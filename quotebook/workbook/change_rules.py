"""Which changes are refused because they would damage the workbook."""

from __future__ import annotations

from quotebook.errors import BookError
from quotebook.values import Address
from quotebook.workbook.areas import LAST_COLUMN, LAST_ROW, parse_area
from quotebook.workbook.cell_formulas import DATA_TABLE
from quotebook.workbook.changes import Change, NewInput, NewResult
from quotebook.workbook.refusals import quoted, worded
from quotebook.workbook.snapshot import Cell, Sheet, Snapshot


def require_allowed(snapshot: Snapshot, address: Address, change: Change) -> Sheet:
    """Return the sheet of the address, or raise BookError with the reason why the change cannot be made."""
    where = f"{snapshot.path}, {address}"
    sheet = snapshot.sheet(address.sheet)
    if sheet is None:
        titles = ", ".join(sheet.title for sheet in snapshot.sheets)
        raise BookError(worded(where, f"no sheet {quoted(address.sheet)}", f"one of {titles}", "correct the title"))
    if not (1 <= address.row <= LAST_ROW and 1 <= address.column <= LAST_COLUMN):
        raise BookError(worded(where, "a cell outside of the sheet", "A1 to XFD1048576", "correct the address"))
    cell = sheet.cells.get((address.row, address.column)) or Cell(None)
    if isinstance(change, NewResult):
        if cell.formula is None and not cell.part_of_array and not cell.kind:
            raise BookError(worded(where, "no formula", "a formula whose result is stored", "write an input instead"))
        return sheet
    _refuse_blocks(where, cell)
    if isinstance(change, NewInput):
        if (cell.formula is not None or cell.kind) and not change.over_formula:
            found = f"the formula {quoted(cell.formula or '')}"
            raise BookError(worded(where, found, "an input cell", "ask for writing over formulas if it is meant"))
        _refuse_heading(where, snapshot, address)
    _refuse_covered(where, sheet, address)
    return sheet


def _refuse_blocks(where: str, cell: Cell) -> None:
    if cell.part_of_array or (cell.array_range and ":" in cell.array_range):
        raise BookError(
            worded(where, "part of an array formula", "a cell of its own", "change the whole array by hand")
        )
    if cell.kind == DATA_TABLE:
        raise BookError(worded(where, "part of a what-if table", "a cell of its own", "change the table by hand"))


def _refuse_heading(where: str, snapshot: Snapshot, address: Address) -> None:
    """A table's headings are stored twice; changing one alone makes the file inconsistent."""
    for table in snapshot.tables:
        area = parse_area(table.range) if table.sheet == address.sheet and table.header_rows else None
        if area and area.holds(address.row, address.column) and address.row < area.first_row + table.header_rows:
            found = f"a heading of the table {quoted(table.name)}"
            raise BookError(worded(where, found, "a cell below it", "rename the column in the spreadsheet program"))


def _refuse_covered(where: str, sheet: Sheet, address: Address) -> None:
    for text in sheet.merged:
        area = parse_area(text)
        if area and area.holds(address.row, address.column) and (address.row, address.column) != area[:2]:
            found = f"a cell hidden by the merged cells {text}"
            raise BookError(worded(where, found, "their first cell", f"write to {text.partition(':')[0]}"))
