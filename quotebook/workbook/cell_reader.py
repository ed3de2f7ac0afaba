"""Cells of one sheet: values of every kind, formulas of every kind.

Tolerated: missing addresses, rows out of order. A second cell for one address replaces the first and is recorded.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from quotebook.values import ErrorValue, Value
from quotebook.workbook.areas import LAST_COLUMN, LAST_ROW, Area, cell_name, parse_area, parse_cell
from quotebook.workbook.dates import serial_of_iso
from quotebook.workbook.refusals import damaged, quoted
from quotebook.workbook.shared_formulas import MovableFormula, TextBudget
from quotebook.workbook.snapshot import Cell
from quotebook.workbook.text_escapes import rich_text, unescaped
from quotebook.workbook.xml_parts import Element, whole

_ERRORS = {error.value: error for error in ErrorValue}
_TRUE = frozenset({"1", "true"})

#: Kinds of cells that hold a formula which cannot be read (see ``Cell.kind``).
DATA_TABLE = "dataTable"
NO_FIRST_CELL = "sharedWithoutFirst"
EMPTY_FORMULA = "emptyFormula"


class CellReader:
    """Collects the cells of a sheet row by row; ``finish`` settles what needs the whole sheet."""

    def __init__(self, where: str, strings: Sequence[str], styles: int, date1904: bool, budget: TextBudget) -> None:
        self.cells: dict[tuple[int, int], Cell] = {}
        self.duplicates: list[tuple[int, int]] = []
        self.hidden_rows: set[int] = set()
        self.arrays: list[tuple[tuple[int, int], Area]] = []
        self.data_tables: list[tuple[Area, str]] = []
        self._where = where
        self._strings = strings
        self._styles = styles
        self._date1904 = date1904
        self._budget = budget
        self._row = 0
        self._shared: dict[str, tuple[MovableFormula, int, int]] = {}
        self._waiting: list[tuple[tuple[int, int], str]] = []
        self._blanks: dict[int, Cell] = {}

    def read_row(self, row: Element) -> None:
        """Take in one row element."""
        number = self._row_number(row.get("r"))
        self._row = number
        if row.get("hidden") in _TRUE:
            self.hidden_rows.add(number)
        column = 0
        for element in row.iterchildren(f"{row.tag[: row.tag.rfind('}') + 1]}c"):
            address = element.get("r")
            if address is None:
                key = (number, column + 1)
                if column >= LAST_COLUMN:
                    raise damaged(self._where, f"more than {LAST_COLUMN} cells in row {number}", "a row that fits")
            else:
                found = parse_cell(address)
                if found is None:
                    raise damaged(self._where, f"the cell address {quoted(address)}", "an address such as B7")
                key = found
            column = key[1]
            self._read_cell(element, key)

    def finish(self) -> None:
        """Write out shared formulas whose first cell came late."""
        for key, index in self._waiting:
            cell = self.cells[key]
            if cell.kind == NO_FIRST_CELL and index in self._shared:
                self.cells[key] = Cell(cell.value, self._expanded(index, key), cell.style)

    def _row_number(self, text: str | None) -> int:
        number = self._row + 1 if text is None else whole(text)
        if not 1 <= number <= LAST_ROW:
            found = f"the row number {quoted(text or number)}"
            raise damaged(self._where, found, f"a row from 1 to {LAST_ROW}")
        return number

    def _read_cell(self, element: Element, key: tuple[int, int]) -> None:
        style_text = element.get("s")
        style = 0 if style_text is None else whole(style_text)
        if style >= self._styles:
            style = 0
        if len(element) == 0:
            if style or key in self.cells:
                self._store(key, self._blank(style))
            return
        formula: Element | None = None
        raw: Element | None = None
        inline: Element | None = None
        for part in element:
            tag = part.tag
            if tag.endswith("}v"):
                raw = part
            elif tag.endswith("}f"):
                formula = part
            elif tag.endswith("}is"):
                inline = part
        value = self._value(element.get("t", "n"), raw, inline, key)
        if formula is not None:
            self._store(key, self._formula_cell(formula, value, style, key))
        elif value is not None:
            self._store(key, Cell(value, None, style))
        elif style or key in self.cells:
            self._store(key, self._blank(style))

    def _store(self, key: tuple[int, int], cell: Cell) -> None:
        if key in self.cells:
            self.duplicates.append(key)
        self.cells[key] = cell

    def _blank(self, style: int) -> Cell:
        cell = self._blanks.get(style)
        if cell is None:
            cell = self._blanks[style] = Cell(None, None, style)
        return cell

    def _value(self, kind: str, raw: Element | None, inline: Element | None, key: tuple[int, int]) -> Value:
        if kind == "inlineStr":
            return rich_text(inline) if inline is not None else None if raw is None else unescaped(raw.text or "")
        if raw is None:
            return None
        text: str = raw.text or ""
        if kind == "n":
            return number_or_text(text)
        if kind == "s":
            return self._shared_string(text, key)
        if kind == "str":
            return unescaped(text)
        if kind == "b":
            return text.strip().lower() in _TRUE
        if kind == "e":
            return _ERRORS.get(text.strip(), ErrorValue.VALUE)
        if kind == "d":
            serial = serial_of_iso(text, self._date1904)
            return text if serial is None else serial
        raise damaged(f"{self._where}, cell {cell_name(*key)}", f"the cell type {quoted(kind)}", "n, s, str, b, e or d")

    def _shared_string(self, text: str, key: tuple[int, int]) -> str:
        index = whole(text, default=-1)
        if not 0 <= index < len(self._strings):
            where = f"{self._where}, cell {cell_name(*key)}"
            raise damaged(where, f"text number {quoted(text)}", f"one of the {len(self._strings)} shared texts")
        return self._strings[index]

    def _formula_cell(self, formula: Element, value: Value, style: int, key: tuple[int, int]) -> Cell:
        kind = formula.get("t", "normal")
        text = unescaped(formula.text or "").removeprefix("=")
        if kind == "dataTable":
            shown = table_formula(formula)
            self.data_tables.append((parse_area(formula.get("ref", "")) or Area(*key, *key), shown))
            return Cell(value, shown, style, kind=DATA_TABLE)
        if kind == "shared":
            return self._shared_cell(formula, text, value, style, key)
        if not text.strip():
            return Cell(value, None, style, kind=EMPTY_FORMULA)
        if kind == "array":
            area = parse_area(formula.get("ref", "")) or Area(*key, *key)
            self.arrays.append((key, area))
            first, last = (
                cell_name(area.first_row, area.first_column),
                cell_name(area.last_row, area.last_column),
            )
            return Cell(value, text, style, array_range=first if first == last else f"{first}:{last}")
        return Cell(value, text, style)

    def _shared_cell(self, formula: Element, text: str, value: Value, style: int, key: tuple[int, int]) -> Cell:
        index = formula.get("si", "")
        if text.strip():
            if formula.get("ref") is not None or index not in self._shared:
                self._shared[index] = (MovableFormula(text), *key)
            return Cell(value, text, style)
        if index in self._shared:
            return Cell(value, self._expanded(index, key), style)
        self._waiting.append((key, index))
        return Cell(value, None, style, kind=NO_FIRST_CELL)

    def _expanded(self, index: str, key: tuple[int, int]) -> str:
        formula, row, column = self._shared[index]
        return self._budget.spend(formula.moved(key[0] - row, key[1] - column))


def number_or_text(text: str) -> Value:
    """Return the number, or the text itself where the file holds no number in a number cell."""
    try:
        number = float(text)
    except ValueError:
        return text if text.strip() else None
    return number if math.isfinite(number) and "_" not in text else text


def table_formula(formula: Element) -> str:
    """Return how a what-if table is shown: TABLE(row input, column input)."""
    first, second = formula.get("r1", ""), formula.get("r2", "")
    if formula.get("dt2D") in _TRUE:
        return f"TABLE({first},{second})"
    return f"TABLE({first},)" if formula.get("dtr") in _TRUE else f"TABLE(,{first})"
