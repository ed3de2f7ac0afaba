"""What formulas of one book can refer to: sheets, defined names, tables; and the places that values are kept in.

A *slot* is a number for one cell; an *area* is a number for one rectangle of cells. Slot 0 is always blank.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right

from quotebook.engine import syntax as s
from quotebook.engine.book import FormulaBook
from quotebook.engine.parse import parse
from quotebook.engine.plan import Area
from quotebook.engine.structured import resolve_table_reference
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, ErrorValue

#: Larger rectangles are read cell by cell where something stands, and not laid out in advance.
LARGEST_CLOSED_AREA = 20_000
#: All rectangles laid out in advance together; a hostile book must not exhaust the memory.
MOST_CLOSED_CELLS = 3_000_000


class Scope:
    """Look-ups for one book, and its slots and areas as they are asked for."""

    def __init__(self, book: FormulaBook, *, laid_out: bool = True) -> None:
        """``laid_out``: areas hold their slots; not wanted where nothing is computed."""
        self.book = book
        self._laid_out = laid_out
        self.sheets = {title.casefold(): title for title in book.sheets}
        self.names = {(None if k[0] is None else k[0].casefold(), k[1].casefold()): v for k, v in book.names.items()}
        self.slots: dict[Address, int] = {}
        self.areas: list[Area] = []
        self._area_numbers: dict[tuple[str, int, int, int, int], int] = {}
        self._closed_cells = 0
        self._subtotals: dict[str, list[Address]] | None = None
        self._columns: dict[str, dict[int, list[int]]] | None = None

    def slot(self, cell: Address) -> int:
        """Return the slot of a cell."""
        return self.slots.setdefault(cell, len(self.slots) + 1)

    def area(self, sheet: str, top: int, left: int, bottom: int, right: int) -> int:
        """Return the number of an area."""
        key = (sheet, top, left, bottom, right)
        known = self._area_numbers.get(key)
        if known is not None:
            return known
        size = (bottom - top + 1) * (right - left + 1)
        slots = None
        if self._laid_out and size <= LARGEST_CLOSED_AREA and self._closed_cells + size <= MOST_CLOSED_CELLS:
            self._closed_cells += size
            slot = self.slot
            rows, columns = range(top, bottom + 1), range(left, right + 1)
            slots = tuple([slot(Address(sheet, row, column)) for row in rows for column in columns])
        self.areas.append(Area(sheet, top, left, bottom, right, slots))
        self._area_numbers[key] = len(self.areas) - 1
        return len(self.areas) - 1

    def resolve(self, node: s.Reference, cell: Address) -> tuple[str, int, int, int, int] | None:
        """Return sheet and corners of a reference, or None when its sheet does not exist."""
        sheet = cell.sheet if node.sheet is None else self.sheets.get(node.sheet.casefold())
        return None if sheet is None else (sheet, node.top, node.left, node.bottom, node.right)

    def table(self, node: s.TableRef, cell: Address) -> s.Node:
        """Return the plain reference of a structured one."""
        return resolve_table_reference(node, self.book.tables, cell)

    def name(self, node: s.NameRef, cell: Address) -> tuple[tuple[str | None, str], s.Node]:
        """Return the key and the tree of a defined name: the sheet's own name first, then the workbook's.

        Errors: FormulaTrouble for relative references in a name and for text that cannot be read. An unknown name is
        the tree of #NAME?, as in a spreadsheet program.
        """
        wanted = node.name.casefold()
        sheet = cell.sheet if node.sheet is None else node.sheet
        for key in ((sheet.casefold(), wanted), (None, wanted)):
            if key in self.names:
                tree = parse(self.names[key].removeprefix("="))
                _refuse_relative(tree, node.name)
                return key, tree
        return (None, wanted), s.ErrorLiteral(ErrorValue.NAME)

    def formulas_inside(self, area: Area) -> list[Address]:
        """Return the formula cells of an area, column by column, members of array formulas included."""
        if self._columns is None:
            self._columns = self._sorted_columns()
        columns = self._columns.get(area.sheet, {})
        found: list[Address] = []
        for column in sorted(columns) if area.right - area.left > 64 else range(area.left, area.right + 1):
            if not area.left <= column <= area.right or column not in columns:
                continue
            rows = columns[column]
            first, last = bisect_left(rows, area.top), bisect_right(rows, area.bottom)
            found.extend(Address(area.sheet, row, column) for row in rows[first:last])
        return found

    def subtotals(self, sheet: str) -> list[Address]:
        """Return the cells of a sheet whose formula holds a SUBTOTAL; other subtotals skip them."""
        if self._subtotals is None:
            self._subtotals = {}
            for cell, formula in self.book.formulas.items():
                if "SUBTOTAL" in formula.upper() and _calls_subtotal(formula):
                    self._subtotals.setdefault(cell.sheet, []).append(cell)
        return self._subtotals.get(sheet, [])

    def hidden_rows(self, sheet: str) -> frozenset[int]:
        """Return the hidden rows of a sheet."""
        return self.book.hidden_rows.get(sheet, frozenset())

    def _sorted_columns(self) -> dict[str, dict[int, list[int]]]:
        columns: dict[str, dict[int, list[int]]] = {}
        for cell in {*self.book.formulas, *self.book.opaque, *array_members(self.book)}:
            columns.setdefault(cell.sheet, {}).setdefault(cell.column, []).append(cell.row)
        for sheet in columns.values():
            for rows in sheet.values():
                rows.sort()
        return columns


def array_members(book: FormulaBook) -> dict[Address, Address]:
    """Return, for every cell covered by an array formula, the cell that holds the formula."""
    members: dict[Address, Address] = {}
    for first, last in book.arrays.items():
        if (last.row - first.row + 1) * (last.column - first.column + 1) > LARGEST_CLOSED_AREA:
            continue
        for row in range(first.row, last.row + 1):
            for column in range(first.column, last.column + 1):
                members[Address(first.sheet, row, column)] = first
    return members


def _refuse_relative(tree: s.Node, name: str) -> None:
    pending: list[s.Node] = [tree]
    while pending:
        node = pending.pop()
        if isinstance(node, s.Reference):
            if node.sheet is None:
                raise FormulaTrouble(f"the defined name {name!r} holds a reference without a sheet; not supported")
            if not all(node.fixed):
                raise FormulaTrouble(f"the defined name {name!r} holds a relative reference; not supported")
        pending.extend(children(node))


def _calls_subtotal(formula: str) -> bool:
    try:
        pending: list[s.Node] = [parse(formula)]
    except FormulaTrouble:
        return False
    while pending:
        node = pending.pop()
        if isinstance(node, s.Call) and node.name == "SUBTOTAL":
            return True
        pending.extend(children(node))
    return False


def children(node: s.Node) -> tuple[s.Node, ...]:
    """Return the nodes directly below a node."""
    if isinstance(node, s.Unary):
        return (node.operand,)
    if isinstance(node, s.Binary):
        return (node.left, node.right)
    if isinstance(node, s.Chain):
        return node.terms
    return node.arguments if isinstance(node, s.Call) else ()
