"""What some cells would say if other cells held something else; only what is touched is compiled and computed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime

from quotebook.audit.finding import Formula, Mended, NameKey
from quotebook.audit.links import Links
from quotebook.clock import tick
from quotebook.engine.book import Evaluation, FormulaBook, Result, Status
from quotebook.engine.compile import compile_book
from quotebook.engine.precedents import Precedents
from quotebook.values import Address, Value

UNKNOWN = Result(Status.NOT_EVALUATED, reason="not evaluated in the workbook as found")


class WhatIf:
    """Answers "what if" for one book whose results as found are known."""

    def __init__(self, book: FormulaBook, found: Evaluation, links: Links, now: datetime) -> None:
        self._book = book
        self._found = found
        self._links = links
        self._now = now

    def results(
        self,
        changes: Mapping[Address, Mended],
        wanted: Sequence[Address],
        names: Mapping[NameKey, str | None] | None = None,
    ) -> list[Result]:
        """Return the results of the wanted cells with the changes made; constants count as evaluated.

        ``names``: defined names that stand for something else, None for one that is taken away.
        Shape: any number of changed cells, n wanted cells -> n results, in their order.
        """
        if names:
            changes = {**self._users_of(names), **changes}
            return self._with_names(names)._results(changes, wanted)
        return self._results(changes, wanted)

    def _users_of(self, names: Mapping[NameKey, str | None]) -> dict[Address, Mended]:
        """Return the formulas that use a name, to be computed anew as they are."""
        wanted = {name.casefold() for _, name in names}
        users = (cell for cell, used in self._links.names_used.items() if any(name in wanted for _, name in used))
        return {cell: Formula(self._book.formulas[cell]) for cell in users}

    def _with_names(self, names: Mapping[NameKey, str | None]) -> WhatIf:
        """Return the same for a book whose names are changed."""
        kept = dict(self._book.names)
        for (sheet, name), text in names.items():
            for key in [key for key in kept if (key[0], key[1].casefold()) == (sheet, name.casefold())]:
                del kept[key]
            if text is not None:
                kept[sheet, name] = text
        return WhatIf(replace(self._book, names=kept), self._found, self._links, self._now)

    def _results(self, changes: Mapping[Address, Mended], wanted: Sequence[Address]) -> list[Result]:
        tick()
        formulas = {cell: new.text.removeprefix("=") for cell, new in changes.items() if isinstance(new, Formula)}
        instead: dict[Address, set[Address]] = {cell: set() for cell in changes}
        instead |= self._precedents_of(formulas)
        # A cell that was blank is in no ancestry, so the changed formulas are asked for as well.
        touched = self._links.descendants(changes) & self._links.ancestors([*wanted, *formulas], instead)
        if not touched:
            return [self._as_found(cell) for cell in wanted]
        outside = self._outside(self._read_by(touched, instead) - touched, changes)
        results = compile_book(self._part(touched, changes, formulas, outside)).run(
            {cell: value for cell, value in outside.items() if not isinstance(value, Result)}, now=self._now
        )
        return [results.results.get(cell) or self._unchanged(cell, changes) for cell in wanted]

    def _read_by(self, touched: set[Address], instead: Mapping[Address, set[Address]]) -> set[Address]:
        """Return the cells that the touched formulas read."""
        if not self._links.complete:
            return {*self._book.inputs, *self._found.results}
        read = self._links.read_by(touched - instead.keys())
        return read.union(*(instead[cell] for cell in touched & instead.keys()))

    def _precedents_of(self, formulas: Mapping[Address, str]) -> dict[Address, set[Address]]:
        if not formulas:
            return {}
        book = self._book
        small = FormulaBook(book.sheets, dict(formulas), {}, book.names, book.tables, date1904=book.date1904)
        mentions = Precedents(small)
        found: dict[Address, set[Address]] = {}
        for cell in formulas:
            areas = [mentions.scope.areas[number] for number in mentions.mentions[cell].areas]
            found[cell] = {each for area in areas for each in self._links.cells_in(area)}  # type: ignore[arg-type]
        return found

    def _part(
        self,
        touched: set[Address],
        changes: Mapping[Address, Mended],
        formulas: Mapping[Address, str],
        outside: Mapping[Address, Value | Result],
    ) -> FormulaBook:
        """Return the book of the touched formulas alone; what they read outside is an input, or opaque if unknown."""
        book = self._book
        firsts = {cell: last for cell, last in book.arrays.items() if cell in touched and cell not in changes}
        kept = {cell: book.formulas[cell] for cell in touched if cell in book.formulas and cell not in changes}
        kept |= {cell: text for cell, text in formulas.items() if cell in touched}
        opaque = {cell: UNKNOWN.reason for cell, value in outside.items() if isinstance(value, Result)}
        return FormulaBook(
            book.sheets, kept, {}, book.names, book.tables, firsts, opaque, book.date1904, book.hidden_rows
        )

    def _outside(self, read: set[Address], changes: Mapping[Address, Mended]) -> dict[Address, Value | Result]:
        """Return what the cells hold that are read and not computed anew; a result where that is not known."""
        outside: dict[Address, Value | Result] = {}
        for cell in read:
            result = self._found.results.get(cell)
            if result is None:
                outside[cell] = self._book.inputs.get(cell)
            else:
                outside[cell] = result.value if result.status is Status.EVALUATED else result
        for cell, new in changes.items():
            if not isinstance(new, Formula):
                outside[cell] = new
        return outside

    def _as_found(self, cell: Address) -> Result:
        return self._found.results.get(cell) or Result(Status.EVALUATED, self._book.inputs.get(cell))

    def _unchanged(self, cell: Address, changes: Mapping[Address, Mended]) -> Result:
        new = changes.get(cell)
        if cell in changes and not isinstance(new, Formula):
            return Result(Status.EVALUATED, new)
        return self._as_found(cell)
