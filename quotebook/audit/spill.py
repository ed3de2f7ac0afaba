"""The cells that an array formula of a newer program wants for its result, and what stands in their way.

The size of a result is worked out from the formula's text and the sizes of the ranges in it, without any result: a
blocked formula has none. Where it depends on figures (a filter, a choice) it is unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from quotebook.audit.view import BookView
from quotebook.engine import syntax as s
from quotebook.engine.parse import parse
from quotebook.engine.registry import functions
from quotebook.engine.scope import Scope
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address
from quotebook.workbook.areas import Area, parse_area
from quotebook.workbook.snapshot import Sheet

#: Rows and columns of a result.
Size = tuple[int, int]
_ONE: Size = (1, 1)
#: Parts of one formula that are looked at; names that call each other twice could go on for ever.
MOST_STEPS = 20_000
#: Kinds of arguments over which a function is spread, value by value.
_SPREAD = frozenset("ntbve")
#: Results of the size of their first argument, and of that size turned round.
_SAME, _TURNED = frozenset({"SORT", "SORTBY"}), frozenset({"TRANSPOSE"})


class InTheWay(NamedTuple):
    """What a result would run into: a cell (None for the edge of the sheet), and what it is in words."""

    cell: Address | None
    what: str


def size_of(view: BookView, cell: Address, formula: str) -> Size | None:
    """Return rows and columns of an array formula's result; None where that cannot be told from its text."""
    try:
        return _Sizes(view.shared(_scope), cell).of(parse(formula))
    except (FormulaTrouble, RecursionError):
        return None


def _scope(view: BookView) -> Scope:
    return Scope(view.book, laid_out=False)


def in_the_way(view: BookView, first: Address, size: Size) -> InTheWay | None:
    """Return what a result of that size runs into, None for nothing. Blank cells with a format are in nobody's way."""
    sheet = view.snapshot.sheet(first.sheet)
    assert sheet is not None, "the formula stands on it"
    area = Area(first.row, first.column, first.row + size[0] - 1, first.column + size[1] - 1)
    if area.last_row > s.LAST_ROW or area.last_column > s.LAST_COLUMN:
        return InTheWay(None, "the edge of the sheet")
    if area.size > 1 and any(_touches(area, one) for one in _tables(view, first.sheet) if one.holds(*first[1:])):
        return InTheWay(first, "the table that the formula stands in, where no result may spread")
    for merged in map(parse_area, sheet.merged):
        if merged is not None and area.size > 1 and _touches(area, merged):
            return InTheWay(Address(first.sheet, *merged[:2]), "merged cells")
    return next(_filled(sheet, first, area), None)


def _filled(sheet: Sheet, first: Address, area: Area) -> Iterator[InTheWay]:
    own = parse_area(sheet.cells[first.row, first.column].array_range or "")
    for row, column in sorted(area.keys_in(sheet.cells)):
        cell = sheet.cells[row, column]
        if (row, column) == (first.row, first.column) or (cell.value is None and cell.formula is None):
            continue
        if cell.part_of_array and own is not None and own.holds(row, column):
            continue  # of the result as it was at the last save
        yield InTheWay(Address(first.sheet, row, column), "a formula" if cell.formula is not None else "a typed cell")


def _tables(view: BookView, title: str) -> Iterator[Area]:
    for table in view.snapshot.tables:
        area = parse_area(table.range) if table.sheet == title else None
        if area is not None:
            yield area


def _touches(one: Area, other: Area) -> bool:
    rows = one.first_row <= other.last_row and other.first_row <= one.last_row
    return rows and one.first_column <= other.last_column and other.first_column <= one.last_column


class _Sizes:
    """Sizes of the parts of one cell's formula."""

    def __init__(self, scope: Scope, cell: Address) -> None:
        self._scope = scope
        self._cell = cell
        self._steps = 0

    def of(self, node: s.Node) -> Size | None:
        """Return the size of a part, None where it is unknown."""
        self._steps += 1
        if self._steps > MOST_STEPS:
            raise FormulaTrouble(f"more than {MOST_STEPS} parts, names in it included")
        if isinstance(node, s.Reference):
            return node.bottom - node.top + 1, node.right - node.left + 1
        if isinstance(node, s.NameRef):
            return self.of(self._scope.name(node, self._cell)[1])
        if isinstance(node, s.TableRef):
            return self.of(self._scope.table(node, self._cell))
        if isinstance(node, s.ArrayLiteral):
            return len(node.rows), len(node.rows[0])
        if isinstance(node, s.Unary):
            return _ONE if node.operator == "@" else self.of(node.operand)
        if isinstance(node, s.Binary):
            return self._of_operator(node)
        if isinstance(node, s.Chain):
            return self._spread(node.terms)
        return self._of_call(node) if isinstance(node, s.Call) else _ONE

    def _of_operator(self, node: s.Binary) -> Size | None:
        known = node.operator in ("=", "<>", "<", ">", "<=", ">=", "&", "+", "-", "*", "/", "^")
        return self._spread((node.left, node.right)) if known else None

    def _of_call(self, node: s.Call) -> Size | None:
        if node.name in ("IFERROR", "IFNA"):
            return self._spread(node.arguments)
        if node.name == "IF" and node.arguments:
            branches = {self.of(one) for one in node.arguments[1:]}
            chosen = self.of(node.arguments[0]) == _ONE and len(branches) > 1
            return None if chosen else self._spread(node.arguments)
        if node.name in _SAME and node.arguments:
            return self.of(node.arguments[0])
        if node.name in _TURNED and len(node.arguments) == 1:
            size = self.of(node.arguments[0])
            return None if size is None else (size[1], size[0])
        if node.name == "SEQUENCE":
            return _sequence(node.arguments)
        function = functions().get(node.name)
        kinds = None if function is None else function.kinds(len(node.arguments))
        if function is None or kinds is None or function.returns == "a":
            return None
        return self._spread([one for one, kind in zip(node.arguments, kinds, strict=True) if kind in _SPREAD])

    def _spread(self, parts: Sequence[s.Node]) -> Size | None:
        """Return the size of parts spread over each other: the tallest and the widest of them."""
        rows, columns = _ONE
        for part in parts:
            size = self.of(part)
            if size is None:
                return None
            rows, columns = max(rows, size[0]), max(columns, size[1])
        return rows, columns


def _sequence(arguments: Sequence[s.Node]) -> Size | None:
    """Return the size of SEQUENCE(rows, columns) where both are written as numbers."""
    sizes = [one.value if isinstance(one, s.Number) else None for one in arguments[:2]] or [None]
    if any(size is None or size < 1 for size in sizes):
        return None
    rows, columns = [int(size) for size in sizes if size is not None] + [1] * (2 - len(sizes))
    return rows, columns
