"""A sound workbook as the planter sees it: what stands where, what feeds the price, which formulas are alike."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from quotebook.engine import Status, compile_book, normal_form
from quotebook.engine.book import FormulaBook
from quotebook.engine.precedents import Precedents
from quotebook.engine.program import Program
from quotebook.values import Address, Value
from quotebook.workbook.contract import read_contract
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.located import locate, parse_reference
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Snapshot
from tests.faults.bases import Base


@dataclass
class Ground:
    """A base, read and recomputed. ``values`` holds the present value of every cell with content.

    ``nudged``: the prices with an input a tenth higher, kept by the planter as it asks for them.
    """

    base: Base
    snapshot: Snapshot
    book: FormulaBook
    program: Program
    values: dict[Address, Value] = field(default_factory=dict)
    nudged: dict[Address, list[Value]] = field(default_factory=dict)

    @property
    def prices(self) -> tuple[Address, ...]:
        """Return the cells that hold the quoted price, the most important one first."""
        return self.base.prices

    def number(self, cell: Address) -> float | None:
        """Return the present number of a cell, or None."""
        value = self.values.get(cell)
        return value if isinstance(value, float) else None

    def format(self, cell: Address) -> str:
        """Return the number format of a cell."""
        content = self.snapshot.cell(cell)
        return self.snapshot.styles[content.style].number_format if content else "General"

    def blank(self, cell: Address) -> bool:
        """Tell whether nothing stands in a cell and nothing covers it."""
        content = self.snapshot.cell(cell)
        empty = content is None or (content.value is None and content.formula is None)
        return empty and cell not in self._covered

    @cached_property
    def _covered(self) -> frozenset[Address]:
        from quotebook.workbook.areas import parse_area

        covered = set()
        for sheet in self.snapshot.sheets:
            for text in sheet.merged:
                area = parse_area(text)
                if area is not None:
                    rows = range(area.first_row, area.last_row + 1)
                    columns = range(area.first_column, area.last_column + 1)
                    covered |= {Address(sheet.title, row, column) for row in rows for column in columns}
        return frozenset(covered)

    @cached_property
    def reads(self) -> dict[Address, frozenset[Address]]:
        """Return for each formula the cells with content that it reads."""
        precedents = Precedents(self.book)
        areas = precedents.scope.areas
        filled: dict[tuple[str, int], list[Address]] = {}
        for cell in (*self.book.formulas, *self.book.inputs):
            filled.setdefault((cell.sheet, cell.column), []).append(cell)
        last = max((column for _, column in filled), default=0)
        inside = [
            frozenset(
                cell
                for column in range(area.left, min(area.right, last) + 1)
                for cell in filled.get((area.sheet, column), ())
                if area.top <= cell.row <= area.bottom
            )
            for area in areas
        ]
        return {
            cell: frozenset().union(*(inside[number] for number in mentions.areas))
            for cell, mentions in precedents.mentions.items()
        }

    @cached_property
    def chain(self) -> frozenset[Address]:
        """Return every cell with content that a price depends on, the prices too."""
        return frozenset(ancestors(self.reads, self.prices))

    @cached_property
    def live(self) -> tuple[Address, ...]:
        """Return the formula cells on the way to the price that hold a number other than 0."""
        return tuple(cell for cell in self.book.formulas if cell in self.chain and self.number(cell))

    @cached_property
    def number_inputs(self) -> tuple[Address, ...]:
        """Return the typed numbers other than 0 on the way to the price."""
        return tuple(cell for cell in self.book.inputs if cell in self.chain and self.number(cell))

    def dependants(self, cell: Address) -> frozenset[Address]:
        """Return the formulas that read a cell."""
        return frozenset(self._readers.get(cell, ()))

    @cached_property
    def _readers(self) -> dict[Address, list[Address]]:
        readers: dict[Address, list[Address]] = {}
        for reader, read in self.reads.items():
            for cell in read:
                readers.setdefault(cell, []).append(reader)
        return readers

    def run(self, cell: Address, across: bool) -> list[Address]:
        """Return the unbroken row (or column) of formulas alike around a cell, itself included."""
        own = self.book.formulas.get(cell)
        if own is None:
            return [cell]
        form = normal_form(own, cell)
        found = [cell]
        for step in (-1, 1):
            at = cell
            while True:
                at = at._replace(column=at.column + step) if across else at._replace(row=at.row + step)
                formula = self.book.formulas.get(at)
                if formula is None or normal_form(formula, at) != form:
                    break
                found.append(at)
        return sorted(found)

    def in_run(self, cell: Address) -> bool:
        """Tell whether a formula stands in a row or column of at least three alike."""
        return max(len(self.run(cell, True)), len(self.run(cell, False))) >= 3

    def label(self, cell: Address) -> str:
        """Return the texts that name a cell: left of it, right of it, and the nearest above it, in small letters."""
        sheet = self.snapshot.sheet(cell.sheet)
        assert sheet is not None, cell.sheet
        words = []
        for step in range(1, 8):
            if cell.column - step < 1:
                break
            words += _text(sheet.cells.get((cell.row, cell.column - step)))
            if words:
                break
        words += _text(sheet.cells.get((cell.row, cell.column + 1)))
        for row in range(cell.row - 1, max(0, cell.row - 30), -1):
            above = _text(sheet.cells.get((row, cell.column)))
            if above:
                words += above
                break
        return " | ".join(words).casefold()

    @cached_property
    def fields(self) -> dict[Address, tuple[str, str, str]]:
        """Return name, unit and type of the contract's field at each cell; empty without a contract."""
        contract = read_contract(self.snapshot)
        found: dict[Address, tuple[str, str, str]] = {}
        for name, placed in locate(contract, self.snapshot).fields.items() if contract else ():
            for row in range(placed.rows):
                for column in range(placed.columns):
                    cell = Address(placed.sheet, placed.row + row, placed.column + column)
                    found[cell] = (name, placed.field.unit, placed.field.type)
        return found

    @cached_property
    def name_areas(self) -> dict[str, tuple[str, int, int, int, int]]:
        """Return sheet, row, column, rows and columns of every workbook-wide name, by the name in small letters."""
        found = {}
        for name in self.snapshot.names:
            area = parse_reference(name.text) if name.sheet is None else None
            if area is not None:
                found[name.name.casefold()] = area
        return found


def ground_of(base: Base) -> Ground:
    """Read and recompute a base."""
    snapshot = read_snapshot(base.path)
    book = formula_book(snapshot)
    program = compile_book(book)
    return Ground(base, snapshot, book, program, values_of(book, program))


def values_of(book: FormulaBook, program: Program) -> dict[Address, Value]:
    """Return the present values: inputs, and the results that are known."""
    values: dict[Address, Value] = dict(book.inputs)
    for cell, result in program.run(book.inputs).results.items():
        values[cell] = result.value if result.status is Status.EVALUATED else None
    return values


def ancestors(reads: dict[Address, frozenset[Address]], cells: Iterable[Address]) -> set[Address]:
    """Return the cells and all that they depend on."""
    found = set(cells)
    waiting = list(found)
    while waiting:
        for each in reads.get(waiting.pop(), ()):
            if each not in found:
                found.add(each)
                waiting.append(each)
    return found


def _text(cell: object) -> list[str]:
    value = getattr(cell, "value", None)
    return [value] if isinstance(value, str) and re.search(r"[A-Za-z]", value) else []
