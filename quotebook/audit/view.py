"""What a check is given: one workbook as read, recomputed and linked; nothing in it can be changed.

Everything that costs time is computed when it is first asked for, and once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from quotebook.audit.finding import Mended, NameKey
from quotebook.audit.links import Links
from quotebook.audit.price_cells import PriceCell, contract_price_cells
from quotebook.audit.true_places import TruePlaces, true_places
from quotebook.audit.what_if import WhatIf
from quotebook.audit.whose import Whose
from quotebook.engine.agreement import Verdict, compare
from quotebook.engine.book import Evaluation, FormulaBook, Status
from quotebook.engine.compile import compile_book
from quotebook.engine.program import Program
from quotebook.template.plan import Placed
from quotebook.values import Address, ErrorValue, Value
from quotebook.workbook.contract import Contract
from quotebook.workbook.inputs import Inputs
from quotebook.workbook.located import Located
from quotebook.workbook.package import Package, open_package
from quotebook.workbook.snapshot import Cell, Snapshot, Style

if TYPE_CHECKING:
    from quotebook.model import Job, Shop

T = TypeVar("T")


class FieldPlace(NamedTuple):
    """Which field of the contract a cell belongs to; row and column within the field from 0."""

    placed: Placed
    row: int
    column: int

    @property
    def name(self) -> str:
        """Return the field's name."""
        return self.placed.field.name


class BookView:
    """One workbook as a check sees it. Without a contract ``contract`` and what follows it are None.

    ``price``: the cell named by the user as the price, if any. ``now``: the moment that TODAY and NOW answer.
    ``others``: whose the other files of the same call are.
    """

    def __init__(
        self,
        snapshot: Snapshot,
        book: FormulaBook,
        *,
        contract: Contract | None = None,
        located: Located | None = None,
        inputs: Inputs | None = None,
        job: Job | None = None,
        shop: Shop | None = None,
        problems: tuple[str, ...] = (),
        price: Address | None = None,
        now: datetime | None = None,
        others: Sequence[Whose] = (),
    ) -> None:
        self.snapshot = snapshot
        self.book = book
        self.contract = contract
        self.located_by_names = located
        self.inputs = inputs
        self.job = job
        self.shop = shop
        self.problems = problems
        self.named_price = price
        self.now = now or datetime.now()
        self.others = tuple(others)
        self._shared: dict[Callable[[BookView], Any], Any] = {}

    @property
    def path(self) -> Path:
        """Return the file that was read."""
        return self.snapshot.path

    @property
    def today(self) -> date:
        """Return the day of the audit."""
        return self.now.date()

    @cached_property
    def package(self) -> Package:
        """Return the file's parts, for checks on what a snapshot does not hold. Errors: BookError."""
        return open_package(self.path)

    def shared(self, work: Callable[[BookView], T]) -> T:
        """Return ``work(self)``, computed once however many checks ask for it."""
        if work not in self._shared:
            self._shared[work] = work(self)
        result: T = self._shared[work]
        return result

    # -- cells ------------------------------------------------------------------------------

    def cell(self, address: Address) -> Cell | None:
        """Return the cell as the file holds it, or None where it holds nothing."""
        return self.snapshot.cell(address)

    def style(self, address: Address) -> Style:
        """Return the format of a cell."""
        cell = self.snapshot.cell(address)
        styles = self.snapshot.styles
        return styles[cell.style] if cell is not None and cell.style < len(styles) else Style()

    def formula(self, address: Address) -> str | None:
        """Return the formula of a cell without its equals sign, or None."""
        return self.book.formulas.get(address)

    def stored(self, address: Address) -> Value:
        """Return what the file says about a cell: the constant, or the result stored at the last save."""
        cell = self.snapshot.cell(address)
        return cell.value if cell is not None else None

    def known(self, address: Address) -> bool:
        """Tell whether the present value of a cell is known: a constant, a blank, or an evaluated formula."""
        result = self.evaluation.results.get(address)
        return address not in self.book.opaque if result is None else result.status is Status.EVALUATED

    def value(self, address: Address) -> Value:
        """Return the present value, recomputed for formulas; None also where it is not known (see ``known``)."""
        result = self.evaluation.results.get(address)
        if result is None:
            return self.book.inputs.get(address)
        return result.value if result.status is Status.EVALUATED else None

    def number(self, address: Address) -> float | None:
        """Return the present value if it is a number, else None."""
        value = self.value(address)
        return value if isinstance(value, float) else None

    def content(self, address: Address) -> str:
        """Return what stands in a cell as a person would type it: ``=A1*2``, ``12.5``, ``"text"``; "" for a blank."""
        formula = self.formula(address)
        if formula is not None:
            return f"={formula}"
        return shown(self.stored(address))

    # -- recomputed -------------------------------------------------------------------------

    @cached_property
    def program(self) -> Program:
        """Return the compiled formulas; ``values`` runs them on other inputs."""
        return compile_book(self.book)

    @cached_property
    def evaluation(self) -> Evaluation:
        """Return the recomputed results of every formula."""
        return self.program.run(self.book.inputs, now=self.now)

    @cached_property
    def stale_cells(self) -> tuple[Address, ...]:
        """Return the formula cells whose stored result differs from the recomputed one.

        Left out: results that are not known, volatile ones, cells without a stored result, and errors of another kind.
        """
        found = []
        for address, result in self.evaluation.results.items():
            stored = self.stored(address)
            if result.status is not Status.EVALUATED or result.volatile:
                continue
            if stored is None:
                continue
            agreement = compare(stored, "" if result.value is None else result.value)
            if agreement.verdict is not Verdict.DIFFERS or agreement.kind == "another error":
                continue
            if isinstance(stored, str) and isinstance(result.value, str) and stored.strip() == result.value.strip():
                continue  # some programs store texts without the blanks at their ends
            found.append(address)
        return tuple(found)

    # -- links ------------------------------------------------------------------------------

    @cached_property
    def links(self) -> Links:
        """Return which cell reads which."""
        return Links(self.book, self.fields_at)

    @cached_property
    def price_path(self) -> frozenset[Address]:
        """Return every cell that a price depends on, prices included; empty where no price is known."""
        return frozenset(self.links.ancestors(cell.address for cell in self.price_cells))

    def is_on_price_path(self, address: Address) -> bool:
        """Tell whether a price depends on the cell."""
        return address in self.price_path

    # -- price ------------------------------------------------------------------------------

    @cached_property
    def price_cells(self) -> tuple[PriceCell, ...]:
        """Return the cells that say the price; the first is the one that effects are told of, if it moves.

        Named by the user; else, with a contract, the extended price of the first quantity in use, then all other prices
        (see ``price_cells``); else guessed.
        """
        if self.named_price is not None:
            return (PriceCell(self.named_price, "the price cell named"),)
        if self.located is not None:
            return contract_price_cells(self.located, self.lots)
        try:
            from quotebook.audit.roles import guessed_price_cells
        except ImportError:
            return ()
        return tuple(guessed_price_cells(self))

    @cached_property
    def price(self) -> float | None:
        """Return the recomputed price of the first price cell; None where it is no number."""
        return self.number(self.price_cells[0].address) if self.price_cells else None

    @cached_property
    def lots(self) -> tuple[int, ...]:
        """Return the lots in use with a contract: 1 for the first quantity break."""
        placed = self.field("lot_size")
        if placed is None:
            return ()
        numbers = range(1, placed.columns)
        return tuple(n for n in numbers if self.number(Address(placed.sheet, placed.row, placed.column + n)))

    def price_effect(
        self, changes: Mapping[Address, Mended], names: Mapping[NameKey, str | None] | None = None
    ) -> float | None:
        """Return what putting cells right does to the quoted price: price then minus price as found.

        The price told of is the extended price of the first quantity; where that does not move, the first other price
        cell that does (see ``price_cells``). 0 when none moves; None when a price before or after is no number.
        """
        moved = self.price_move(changes, names)
        return moved[1] if moved is not None else None

    def price_move(
        self, changes: Mapping[Address, Mended], names: Mapping[NameKey, str | None] | None = None
    ) -> tuple[PriceCell, float] | None:
        """Return the price cell that putting cells right moves, and by how much; see ``price_effect``."""
        if not self.price_cells:
            return None
        addresses = [cell.address for cell in self.price_cells]
        unknown = False
        results = self.what_if.results(changes, addresses, names)
        for cell, result in zip(self.price_cells, results, strict=True):
            before = self.number(cell.address)
            after = result.value if result.status is Status.EVALUATED else None
            if before is None or not isinstance(after, float):
                unknown = unknown or self.value(cell.address) != after or result.status is not Status.EVALUATED
            elif compare(before, after).verdict is not Verdict.AGREES:
                return (cell, after - before) if not unknown else None
        return None if unknown else (self.price_cells[0], 0.0)

    @cached_property
    def what_if(self) -> WhatIf:
        """Return the answerer of "what if this cell held something else"."""
        return WhatIf(self.book, self.evaluation, self.links, self.now)

    # -- fields of the contract -------------------------------------------------------------

    @cached_property
    def places(self) -> TruePlaces | None:
        """Return where the fields really are, and which defined names do not say so; None without a contract."""
        if self.contract is None or self.located_by_names is None:
            return None
        return true_places(self.contract, self.located_by_names, self.snapshot)

    @property
    def located(self) -> Located | None:
        """Return the fields of the contract where they really are; None without a contract."""
        return self.places.located if self.places is not None else None

    @property
    def counts(self) -> Mapping[str, tuple[str, int, int]]:
        """Return sheet, row and column of each count and total of the checklists, by name."""
        return self.places.counts if self.places is not None else {}

    def field(self, name: str) -> Placed | None:
        """Return a field of the contract with its present place, or None."""
        return self.located.fields.get(name) if self.located is not None else None

    @cached_property
    def fields_at(self) -> Mapping[Address, FieldPlace]:
        """Return the field that each cell belongs to; empty without a contract."""
        places: dict[Address, FieldPlace] = {}
        for placed in self.located.fields.values() if self.located is not None else ():
            for address, row, column in cells_of(placed):
                places[address] = FieldPlace(placed, row, column)
        return places

    def field_name(self, address: Address) -> str:
        """Return the name of the field that a cell belongs to, or ""."""
        place = self.fields_at.get(address)
        return place.name if place is not None else ""

    def field_number(self, name: str, index: int = 0) -> float | None:
        """Return the present number of a field's cell, counted along it from 0; None if it is none."""
        address = self.field_cell(name, index)
        return self.number(address) if address is not None else None

    def field_value(self, name: str, index: int = 0) -> Value:
        """Return the present value of a field's cell, counted along it from 0."""
        address = self.field_cell(name, index)
        return self.value(address) if address is not None else None

    def field_cell(self, name: str, index: int = 0) -> Address | None:
        """Return the address of a field's cell, counted along it from 0; None outside or where it is lost."""
        placed = self.field(name)
        if placed is None:
            return None
        if placed.shape in ("scalar", "series"):
            return Address(placed.sheet, placed.row, placed.column + index) if index < placed.columns else None
        return Address(placed.sheet, placed.row + index, placed.column) if index < placed.rows else None


def cells_of(placed: Placed) -> Iterator[tuple[Address, int, int]]:
    """Yield each cell of a field with its row and column within the field from 0."""
    for row in range(placed.rows):
        for column in range(placed.columns):
            yield Address(placed.sheet, placed.row + row, placed.column + column), row, column


def shown(value: Value) -> str:
    """Return a value as a report shows it: texts in quotes, numbers with 10 digits, "" for a blank."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float):
        return f"{value:.10g}"
    return value.value if isinstance(value, ErrorValue) else f'"{value}"'
