"""Cells of one sheet, row by row.

Tolerated: missing addresses, rows out of order. A second cell for one address replaces the first and is recorded.
This is the innermost loop of reading a workbook, so it spends few calls on a cell.
"""

from __future__ import annotations

from quotebook.values import Value, column_letters
from quotebook.workbook.areas import LAST_COLUMN, LAST_ROW, parse_cell
from quotebook.workbook.cell_formulas import FormulaReader
from quotebook.workbook.cell_values import ValueReader
from quotebook.workbook.refusals import damaged, quoted
from quotebook.workbook.row_memory import KnownRow
from quotebook.workbook.snapshot import Cell
from quotebook.workbook.xml_parts import Element, whole

_TRUE = frozenset({"1", "true"})
#: Columns A to ZZ, looked up faster than parsed; the rare others are parsed.
_COLUMNS = {column_letters(column): column for column in range(1, 703)}


class CellReader:
    """Collects the cells of a sheet. ``styles`` is the number of cell formats in the workbook."""

    def __init__(self, where: str, values: ValueReader, formulas: FormulaReader, styles: int) -> None:
        self.cells: dict[tuple[int, int], Cell] = {}
        self.duplicates: list[tuple[int, int]] = []
        self.hidden_rows: set[int] = set()
        self._where = where
        self._values = values
        self._formulas = formulas
        self._styles = styles
        self._row = 0
        self._style_numbers: dict[str | None, int] = {None: 0}
        self._blanks: dict[int, Cell] = {}

    def read_row(self, row: Element) -> None:
        """Take in one row element."""
        text = row.get("r")
        self._row = number = self._row + 1 if text is None else whole(text)
        if not 1 <= number <= LAST_ROW:
            raise damaged(self._where, f"the row number {quoted(text or number)}", f"a row from 1 to {LAST_ROW}")
        if row.get("hidden") in _TRUE:
            self.hidden_rows.add(number)
        column = 0
        row_text = str(number)
        digits = len(row_text)
        space = row.tag[: row.tag.rfind("}") + 1]
        cell_tag, value_tag, formula_tag, inline_tag = f"{space}c", f"{space}v", f"{space}f", f"{space}is"
        for element in row:
            if element.tag != cell_tag:
                continue
            address = element.get("r")
            if address is None:
                key = self._next_address(number, column + 1)
            elif address.endswith(row_text) and (known := _COLUMNS.get(address[:-digits])):
                key = (number, known)
            else:
                key = self._odd_address(address)
            column = key[1]
            value = formula = raw = inline = None
            for part in element:
                tag = part.tag
                if tag == value_tag:
                    raw = part
                elif tag == formula_tag:
                    formula = part
                elif tag == inline_tag:
                    inline = part
            if raw is not None or inline is not None:
                value = self._values.read(element.get("t"), raw, inline, key)
            self._store(key, value, formula, element.get("s"))

    def take(self, row: KnownRow) -> None:
        """Take in a row that was read before; rows come in rising order."""
        self._row = row.number
        self.cells.update(row.cells)
        if row.hidden:
            self.hidden_rows.add(row.number)

    def read_and_tell(self, row: Element) -> KnownRow | None:
        """Take in one row element and return what it holds; None where its cells are not its own, each once."""
        others, self.cells, twice = self.cells, {}, len(self.duplicates)
        self.read_row(row)
        own, self.cells, number = self.cells, others, self._row
        if len(self.duplicates) != twice or any(key[0] != number for key in own) or not others.keys().isdisjoint(own):
            return None
        others.update(own)
        return KnownRow(number, own, number in self.hidden_rows)

    def _store(self, key: tuple[int, int], value: Value, formula: Element | None, style_text: str | None) -> None:
        """Keep one cell; a blank cell without a format is not kept."""
        style = self._style_numbers.get(style_text)
        if style is None:
            style = self._new_style(style_text)
        cells = self.cells
        if key in cells:
            self.duplicates.append(key)
        elif value is None and formula is None and not style:
            return
        if formula is not None:
            cells[key] = self._formulas.read(formula, value, style, key)
        elif value is not None:
            cells[key] = Cell(value, None, style)
        else:
            cells[key] = self._blank(style)

    def _next_address(self, row: int, column: int) -> tuple[int, int]:
        """Return the place of a cell without an address: right after the one before it."""
        if column > LAST_COLUMN:
            raise damaged(self._where, f"more than {LAST_COLUMN} cells in row {row}", "a row that fits")
        return row, column

    def _odd_address(self, address: str) -> tuple[int, int]:
        """Read an address that is not simply letters and the number of its row."""
        key = parse_cell(address)
        if key is None:
            raise damaged(self._where, f"the cell address {quoted(address)}", "an address such as B7")
        return key

    def _new_style(self, text: str | None) -> int:
        """Return the number of a cell format; one that the file does not define stands for the plain one."""
        number = whole(text)
        style = self._style_numbers[text] = number if number < self._styles else 0
        return style

    def _blank(self, style: int) -> Cell:
        """Return the one blank cell of a format: large sheets hold many."""
        cell = self._blanks.get(style)
        if cell is None:
            cell = self._blanks[style] = Cell(None, None, style)
        return cell
