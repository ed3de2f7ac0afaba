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
        results = compile_book(self._part(touched, changes, formulas)).run(
            self._inputs(touched, changes), now=self._now
        )
        return [results.results.get(cell) or self._unchanged(cell, changes) for cell in wanted]

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
        self, touched: set[Address], changes: Mapping[Address, Mended], formulas: Mapping[Address, str]
    ) -> FormulaBook:
        """Return the book of the touched formulas alone; all else is an input with its value as found."""
        book = self._book
        firsts = {cell: last for cell, last in book.arrays.items() if cell in touched and cell not in changes}
        kept = {cell: book.formulas[cell] for cell in touched if cell in book.formulas and cell not in changes}
        kept |= {cell: text for cell, text in formulas.items() if cell in touched}
        opaque = {
            cell: UNKNOWN.reason
            for cell, result in self._found.results.items()
            if result.status is not Status.EVALUATED and cell not in touched and cell not in changes
        }
        return FormulaBook(
            book.sheets, kept, {}, book.names, book.tables, firsts, opaque, book.date1904, book.hidden_rows
        )

    def _inputs(self, touched: set[Address], changes: Mapping[Address, Mended]) -> dict[Address, Value]:
        inputs = dict(self._book.inputs)
        for cell, result in self._found.results.items():
            if result.status is Status.EVALUATED and cell not in touched:
                inputs[cell] = result.value
        for cell, new in changes.items():
            if isinstance(new, Formula):
                inputs.pop(cell, None)
            else:
                inputs[cell] = new
        return inputs

    def _as_found(self, cell: Address) -> Result:
        return self._found.results.get(cell) or Result(Status.EVALUATED, self._book.inputs.get(cell))

    def _unchanged(self, cell: Address, changes: Mapping[Address, Mended]) -> Result:
        new = changes.get(cell)
        if cell in changes and not isinstance(new, Formula):
            return Result(Status.EVALUATED, new)
        return self._as_found(cell)
