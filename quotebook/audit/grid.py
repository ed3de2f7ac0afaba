"""A workbook as the foreign checks see it: formula trees, normal forms, values, and who uses whom.

Works on any workbook; nothing here knows a contract or a trade word. Everything is worked out once, when first asked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

from quotebook.clock import tick
from quotebook.engine import syntax as s
from quotebook.engine.book import Evaluation, FormulaBook, Status
from quotebook.engine.filled_down import moved_down, row_free
from quotebook.engine.normal import normal_form
from quotebook.engine.parse import parse
from quotebook.engine.scope import Scope, children
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, ErrorValue, Value, column_letters
from quotebook.workbook.snapshot import Cell, Snapshot, Style

#: Larger references are followed only to the cells that hold something.
LARGEST_SPAN = 5_000
_DEEPEST_NAME = 10
_NOTHING = Cell(None)


class Span(NamedTuple):
    """A rectangle of cells on one sheet, both ends inside."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    @property
    def size(self) -> int:
        """Return the number of cells."""
        return (self.bottom - self.top + 1) * (self.right - self.left + 1)

    def holds(self, cell: Address) -> bool:
        """Tell whether a cell lies inside."""
        inside = self.top <= cell.row <= self.bottom and self.left <= cell.column <= self.right
        return inside and cell.sheet == self.sheet

    def cells(self) -> Iterator[Address]:
        """Yield every cell, row by row."""
        for row in range(self.top, self.bottom + 1):
            for column in range(self.left, self.right + 1):
                yield Address(self.sheet, row, column)

    def __str__(self) -> str:
        first = f"{column_letters(self.left)}{self.top}"
        return first if self.size == 1 else f"{first}:{column_letters(self.right)}{self.bottom}"


class Use(NamedTuple):
    """A reference in a formula: the cells it means, the reference as written, and the defined name if by name."""

    span: Span
    node: s.Reference
    name: str = ""


class Grid:
    """Look-ups over one workbook; ``value`` prefers the recomputed result to the stored one."""

    def __init__(self, snapshot: Snapshot, book: FormulaBook, evaluation: Evaluation) -> None:
        self.snapshot = snapshot
        self.book = book
        self.evaluation = evaluation
        self.scope = Scope(book, laid_out=False)
        self._filled: dict[Span, list[Address]] = {}
        self._cells = {sheet.title: sheet.cells for sheet in snapshot.sheets}

    @cached_property
    def trees(self) -> Mapping[Address, s.Node]:
        """The syntax tree of every formula that can be read."""
        found: dict[Address, s.Node] = {}
        known: dict[str, tuple[int, s.Node]] = {}
        for cell, formula in self.book.formulas.items():
            tick()
            # Formulas filled down are read once, and moved.
            key = row_free(formula, cell.row)
            first = known.get(key)
            if first is not None:
                found[cell] = moved_down(first[1], cell.row - first[0])
                continue
            try:
                found[cell] = parse(formula.removeprefix("="))
            except FormulaTrouble:
                continue
            known[key] = cell.row, found[cell]
        return found

    @cached_property
    def forms(self) -> Mapping[Address, str]:
        """The normal form of every formula, references relative to its cell."""
        found: dict[Address, str] = {}
        for cell, formula in self.book.formulas.items():
            tick()
            found[cell] = normal_form(formula, cell)
        return found

    @cached_property
    def uses(self) -> Mapping[Address, tuple[Use, ...]]:
        """The references of every formula, names and tables followed."""
        found: dict[Address, tuple[Use, ...]] = {}
        for cell, tree in self.trees.items():
            tick()
            found[cell] = tuple(self.uses_in(tree, cell))
        return found

    @cached_property
    def users(self) -> Mapping[Address, frozenset[Address]]:
        """The formulas that use a cell, directly or inside a range."""
        found: defaultdict[Address, set[Address]] = defaultdict(set)
        for cell, uses in self.uses.items():
            for use in uses:
                for used in self.filled(use.span) if use.span.size > LARGEST_SPAN else use.span.cells():
                    found[used].add(cell)
        return {cell: frozenset(users) for cell, users in found.items()}

    @cached_property
    def columns(self) -> Mapping[str, Mapping[int, tuple[int, ...]]]:
        """Rows with content, by sheet and column."""
        return {title: _lines(keys, 1) for title, keys in self._content.items()}

    @cached_property
    def rows(self) -> Mapping[str, Mapping[int, tuple[int, ...]]]:
        """Columns with content, by sheet and row."""
        return {title: _lines(keys, 0) for title, keys in self._content.items()}

    @cached_property
    def _content(self) -> Mapping[str, list[tuple[int, int]]]:
        return {
            title: [key for key, cell in cells.items() if cell.value is not None or cell.formula is not None]
            for title, cells in self._cells.items()
        }

    def cell(self, address: Address) -> Cell:
        """Return the cell, an empty one where the file holds nothing."""
        return self._cells.get(address.sheet, {}).get((address.row, address.column), _NOTHING)

    def style(self, address: Address) -> Style:
        """Return the format of a cell."""
        number = self.cell(address).style
        return self.snapshot.styles[number] if number < len(self.snapshot.styles) else Style()

    def value(self, address: Address) -> Value:
        """Return what the cell comes to: recomputed where that is known, else as stored."""
        result = self.evaluation.results.get(address)
        if result is not None and result.status is Status.EVALUATED:
            return result.value
        return self.cell(address).value

    def number(self, address: Address) -> float | None:
        """Return the cell's number, None for anything else."""
        value = self.value(address)
        return None if isinstance(value, bool) or not isinstance(value, int | float) else float(value)

    def text(self, address: Address) -> str:
        """Return the cell's text without blanks around it, "" for anything else."""
        value = self.value(address)
        return value.strip() if isinstance(value, str) else ""

    def is_formula(self, address: Address) -> bool:
        """Tell whether a cell holds a formula."""
        return address in self.book.formulas or address in self.book.opaque

    def is_blank(self, address: Address) -> bool:
        """Tell whether a cell holds neither formula nor value."""
        cell = self.cell(address)
        return cell.formula is None and cell.value in (None, "") and not cell.kind

    def is_constant_number(self, address: Address) -> bool:
        """Tell whether a cell holds a typed number."""
        return not self.is_formula(address) and self.number(address) is not None

    def formula(self, address: Address) -> str:
        """Return the formula with its equals sign, "" for a cell without one."""
        text = self.book.formulas.get(address)
        return "" if text is None else f"={text.removeprefix('=')}"

    def filled(self, span: Span) -> list[Address]:
        """Return the cells of a span that hold something, row by row; not to be changed."""
        if span not in self._filled:
            tick()
            self._filled[span] = self._filled_now(span)
        return self._filled[span]

    def _filled_now(self, span: Span) -> list[Address]:
        cells = self._cells.get(span.sheet, {})
        if span.size <= len(cells):
            keys = [(each.row, each.column) for each in span.cells()]
        else:
            keys = sorted(key for key in cells if span.holds(Address(span.sheet, *key)))
        return [a for a in (Address(span.sheet, *key) for key in keys if key in cells) if not self.is_blank(a)]

    def uses_in(self, tree: s.Node, cell: Address, name: str = "", depth: int = 0) -> Iterator[Use]:
        """Yield the references of a tree that stands in ``cell``."""
        for node in walk(tree):
            plain: s.Node = node
            if isinstance(node, s.NameRef):
                if depth < _DEEPEST_NAME:
                    try:
                        meaning = self.scope.name(node, cell)[1]
                    except FormulaTrouble:
                        continue
                    yield from self.uses_in(meaning, cell, node.name, depth + 1)
                continue
            if isinstance(node, s.TableRef):
                try:
                    plain = self.scope.table(node, cell)
                except FormulaTrouble:
                    continue
            if isinstance(plain, s.Reference):
                place = self.scope.resolve(plain, cell)
                if place is not None:
                    yield Use(Span(*place), plain, name)

    def upstream(self, roots: Iterable[Address]) -> frozenset[Address]:
        """Return the cells with content that some cells need, they themselves among them."""
        return self._reached(roots, lambda cell: (c for use in self.uses.get(cell, ()) for c in self.filled(use.span)))

    def downstream(self, roots: Iterable[Address]) -> frozenset[Address]:
        """Return the formulas that some cells reach, the cells themselves among them."""
        return self._reached(roots, lambda cell: iter(self.users.get(cell, ())))

    @staticmethod
    def _reached(roots: Iterable[Address], next_cells: object) -> frozenset[Address]:
        assert callable(next_cells), "a function from a cell to its neighbours"
        seen = set(roots)
        waiting = list(seen)
        while waiting:
            tick()
            for each in next_cells(waiting.pop()):
                if each not in seen:
                    seen.add(each)
                    waiting.append(each)
        return frozenset(seen)


def _lines(keys: Iterable[tuple[int, int]], by: int) -> dict[int, tuple[int, ...]]:
    found: defaultdict[int, list[int]] = defaultdict(list)
    for key in keys:
        found[key[by]].append(key[1 - by])
    return {line: tuple(sorted(places)) for line, places in found.items()}


def walk(tree: s.Node) -> Iterator[s.Node]:
    """Yield every node of a tree, from the top, left to right."""
    pending = [tree]
    while pending:
        node = pending.pop()
        yield node
        pending.extend(reversed(children(node)))


def a1(cell: Address) -> str:
    """Return the address without its sheet."""
    return f"{column_letters(cell.column)}{cell.row}"


def shown(value: Value) -> str:
    """Return a value as a person reads it in a finding."""
    if value is None:
        return "blank"
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, ErrorValue):
        return str(value)
    return f'"{value}"' if isinstance(value, str) else f"{value:.10g}"
