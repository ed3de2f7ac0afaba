"""The formula of a cell: plain, shared, array, or a what-if table."""

from __future__ import annotations

from quotebook.values import Value
from quotebook.workbook.areas import Area, cell_name, parse_area
from quotebook.workbook.dynamic_arrays import Numbers, numbers_of
from quotebook.workbook.shared_formulas import MovableFormula, TextBudget
from quotebook.workbook.snapshot import Cell
from quotebook.workbook.text_escapes import unescaped
from quotebook.workbook.xml_parts import Element, flag

#: Kinds of cells that hold a formula which cannot be read (see ``Cell.kind``).
DATA_TABLE = "dataTable"
NO_FIRST_CELL = "sharedWithoutFirst"
EMPTY_FORMULA = "emptyFormula"

Key = tuple[int, int]


class FormulaReader:
    """Reads the formulas of one sheet, in file order, and remembers what spans several cells."""

    def __init__(self, budget: TextBudget) -> None:
        self.arrays: list[tuple[Key, Area]] = []
        self.data_tables: list[tuple[Area, str]] = []
        self.spilling: dict[Key, Numbers] = {}
        self._budget = budget
        self._shared: dict[str, tuple[MovableFormula, int, int]] = {}
        self._waiting: list[tuple[Key, str]] = []

    def read(self, formula: Element, value: Value, style: int, key: Key) -> Cell:
        """Return the cell of an f element."""
        kind = formula.get("t")
        text = unescaped(formula.text or "").removeprefix("=")
        if kind is None and text.strip():  # nearly every formula
            return Cell(value, text, style)
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
            numbers = numbers_of(formula)
            if numbers is not None:
                self.spilling[key] = numbers
            return Cell(value, text, style, array_range=area_name(area))
        return Cell(value, text, style)

    def settle(self, cells: dict[Key, Cell]) -> None:
        """Write out the shared formulas whose first cell came after them."""
        for key, index in self._waiting:
            cell = cells[key]
            if cell.kind == NO_FIRST_CELL and index in self._shared:
                cells[key] = Cell(cell.value, self._expanded(index, key), cell.style)

    def _shared_cell(self, formula: Element, text: str, value: Value, style: int, key: Key) -> Cell:
        index = formula.get("si", "")
        if text.strip():
            if formula.get("ref") is not None or index not in self._shared:
                self._shared[index] = (MovableFormula(text), *key)
            return Cell(value, text, style)
        if index in self._shared:
            return Cell(value, self._expanded(index, key), style)
        self._waiting.append((key, index))
        return Cell(value, None, style, kind=NO_FIRST_CELL)

    def _expanded(self, index: str, key: Key) -> str:
        formula, row, column = self._shared[index]
        return self._budget.spend(formula.moved(key[0] - row, key[1] - column))


def area_name(area: Area) -> str:
    """Return an area as A1:C3, or as A1 when it is a single cell."""
    first, last = cell_name(area.first_row, area.first_column), cell_name(area.last_row, area.last_column)
    return first if first == last else f"{first}:{last}"


def table_formula(formula: Element) -> str:
    """Return how a what-if table is shown: TABLE(row input, column input)."""
    first, second = formula.get("r1", ""), formula.get("r2", "")
    if flag(formula.get("dt2D")):
        return f"TABLE({first},{second})"
    return f"TABLE({first},)" if flag(formula.get("dtr")) else f"TABLE(,{first})"
