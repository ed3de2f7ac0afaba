"""What each formula refers to, read off its text alone, for engines other than our own.

More careful than the compiler, and therefore coarser: a formula depends on everything it mentions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from quotebook.clock import tick
from quotebook.engine import graph
from quotebook.engine import syntax as s
from quotebook.engine.book import Evaluation, FormulaBook, Result, Status
from quotebook.engine.filled_down import row_free
from quotebook.engine.parse import parse
from quotebook.engine.scope import Scope, array_members, children
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, Value

#: Names that stand for names are followed this far.
DEEPEST_NAME = 20


@dataclass(slots=True)
class Mentions:
    """What one formula mentions. ``trouble`` tells why the text could not be read."""

    functions: set[str] = field(default_factory=set)
    areas: set[int] = field(default_factory=set)
    names: set[tuple[str | None, str]] = field(default_factory=set)
    sheets: set[str] = field(default_factory=set)
    double_minus: bool = False
    table: bool = False
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class _Read:
    """A formula that was read, in its row. ``moving``: areas that move with it, and which of their ends do not."""

    row: int
    mentions: Mentions
    moving: set[tuple[int, bool, bool]] = field(default_factory=set)
    still: set[int] = field(default_factory=set)


class Precedents:
    """Mentions of all formulas of a book, and how a trouble spreads from one to another."""

    def __init__(self, book: FormulaBook) -> None:
        self.book = book
        self.scope = Scope(book, laid_out=False)
        self.cells = [*book.formulas, *(cell for cell in book.opaque if cell not in book.formulas)]
        self._read: dict[tuple[str, str], _Read] = {}
        self.mentions = {cell: self._mentions(cell, formula) for cell, formula in book.formulas.items()}
        self.members = array_members(book)

    def _mentions(self, cell: Address, formula: str) -> Mentions:
        """Return what a formula mentions; one that was filled down from another is that one, moved."""
        key = (cell.sheet, row_free(formula, cell.row))
        read = self._read.get(key)
        if read is None:
            tick()
            read = self._read[key] = _Read(cell.row, Mentions())
            try:
                self._collect(parse(formula.removeprefix("=")), cell, read, 0)
            except FormulaTrouble as trouble:
                read.mentions.trouble = str(trouble)
            return read.mentions
        if not read.moving:
            return read.mentions
        down = cell.row - read.row
        own = read.mentions
        areas = read.still | {self._moved(*each, down) for each in read.moving}
        return Mentions(own.functions, areas, own.names, own.sheets, own.double_minus, own.table, own.trouble)

    def _moved(self, number: int, top_fixed: bool, bottom_fixed: bool, down: int) -> int:
        area = self.scope.areas[number]
        top, bottom = area.top + (0 if top_fixed else down), area.bottom + (0 if bottom_fixed else down)
        return self.scope.area(area.sheet, min(top, bottom), area.left, max(top, bottom), area.right)

    def _collect(self, tree: s.Node, cell: Address, read: _Read, depth: int) -> None:
        found = read.mentions
        if depth > DEEPEST_NAME:
            raise FormulaTrouble("defined names refer to each other too often")
        for node in _walk(tree):
            if isinstance(node, s.Call):
                found.functions.add(node.name)
                if node.name in ("OFFSET", "INDIRECT"):
                    raise FormulaTrouble(f"which cells {node.name} reads is known only while it calculates")
            elif isinstance(node, s.Unary):
                inner = node.operand
                found.double_minus |= node.operator == "-" and isinstance(inner, s.Unary) and inner.operator == "-"
            elif isinstance(node, s.NameRef):
                key, meaning = self.scope.name(node, cell)
                found.names.add(key)
                self._collect(meaning, cell, read, depth + 1)
            elif isinstance(node, s.Reference | s.TableRef):
                found.table |= isinstance(node, s.TableRef)
                plain = self.scope.table(node, cell) if isinstance(node, s.TableRef) else node
                place = self.scope.resolve(plain, cell) if isinstance(plain, s.Reference) else None
                if place is not None:
                    found.sheets.add(place[0])
                    number = self.scope.area(*place)
                    found.areas.add(number)
                    if isinstance(plain, s.Reference) and not (plain.fixed[0] and plain.fixed[2]):
                        read.moving.add((number, plain.fixed[0], plain.fixed[2]))
                    else:
                        read.still.add(number)

    def finish(self, values: Mapping[Address, Value], troubles: Mapping[Address, str], engine: str) -> Evaluation:
        """Return the evaluation of another engine: its values, its troubles, and what the troubles reach.

        ``values`` holds every formula cell that has an answer; a cell in neither is not evaluated either.
        """
        number_of = {cell: number for number, cell in enumerate(self.cells)}
        for member, first in self.members.items():
            number_of.setdefault(member, number_of[first])
        network = self._graph(number_of)
        why = dict(troubles)
        for loop in graph.in_order(network)[1]:
            for number in loop:
                if self.cells[number] not in values:
                    why.setdefault(self.cells[number], f"{engine} gave no answer: circular reference")
        tainted = network.reached([number_of[cell] for cell in self.cells if cell in why])
        for number, cell in enumerate(self.cells):
            if cell not in values and number not in tainted:
                why.setdefault(cell, f"{engine} gave no answer")
        tainted = network.reached([number_of[cell] for cell in self.cells if cell in why])
        results: dict[Address, Result] = {}
        for cell in {**dict.fromkeys(self.cells), **dict.fromkeys(self.members)}:
            number = number_of[cell]
            own = self.cells[number]
            if own in why:
                results[cell] = Result(Status.NOT_EVALUATED, reason=why[own])
            elif number in tainted:
                root = self.cells[tainted[number]]
                reason = f"depends on {root}: {why[root]}"
                results[cell] = Result(Status.DEPENDS_ON_NOT_EVALUATED, reason=reason)
            else:
                results[cell] = Result(Status.EVALUATED, values.get(cell))
        return Evaluation(results, engine)

    def _graph(self, number_of: Mapping[Address, int]) -> graph.Graph:
        count = len(self.cells)
        needs: list[list[int]] = []
        for cell in self.cells:
            mentioned = self.mentions.get(cell)
            needs.append([count + area for area in mentioned.areas] if mentioned else [])
        for area in self.scope.areas:
            needs.append(sorted({number_of[cell] for cell in self.scope.formulas_inside(area) if cell in number_of}))
        return graph.build(needs, count)


def _walk(tree: s.Node) -> Iterator[s.Node]:
    pending = [tree]
    while pending:
        node = pending.pop()
        yield node
        pending.extend(children(node))
