"""Which cells hold what the contract promises, and which do not; worked out once for all checks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from quotebook.audit.view import BookView
from quotebook.engine.normal import normal_form
from quotebook.errors import TemplateError
from quotebook.template.plan import Placed
from quotebook.template.references import Place, resolve
from quotebook.values import Address
from quotebook.workbook.contract import Contract
from quotebook.workbook.contract_extras import OtherCell
from quotebook.workbook.located import Located
from quotebook.workbook.promises import Broken, broken_promises


@dataclass(frozen=True, slots=True)
class BrokenOther:
    """A label, heading, unit or text that is not as made. ``found`` and ``expected``: as typed; "" for a blank."""

    address: Address
    other: OtherCell
    found: str
    expected: str


class Promised:
    """The contract of one workbook held against its cells."""

    def __init__(self, view: BookView) -> None:
        assert view.contract is not None, "the runner calls checks of the contract only where there is one"
        assert view.located is not None, "a contract is always located"
        self.view = view
        self.contract: Contract = view.contract
        self.located: Located = view.located

    @cached_property
    def broken(self) -> tuple[Broken, ...]:
        """Return the formula cells of fields and counts that do not hold their formula, in the contract's order.

        Left out are cells of rows that were inserted and left empty: nothing is calculated there, nothing is lost.
        """
        found = [*broken_promises(self.contract, self.located, self.view.snapshot), *self._broken_counts()]
        return tuple(one for one in found if one.address not in self.empty_row_cells)

    @cached_property
    def broken_at(self) -> Mapping[Address, Broken]:
        """Return the same by cell."""
        return {one.address: one for one in self.broken}

    def _broken_counts(self) -> Iterator[Broken]:
        for name, (sheet, row, column) in self.view.counts.items():
            address = Address(sheet, row, column)
            expected = self.expected(self.contract.checks[name], Place(sheet))
            if expected is not None and not self.holds(address, expected):
                yield Broken(address, name, self.view.content(address), f"={expected}")

    def expected(self, formula: str, place: Place) -> str | None:
        """Return a formula in references, without equals sign; None where a name in it is lost."""
        try:
            return resolve(formula, place, self.located.fields, self.contract.checks)
        except TemplateError:
            return None

    def holds(self, address: Address, formula: str) -> bool:
        """Tell whether a cell holds a formula, however it is written."""
        held = self.view.formula(address)
        return held is not None and normal_form(held, address) == normal_form(formula, address)

    # -- rows -------------------------------------------------------------------------------

    @cached_property
    def tables(self) -> Mapping[tuple[str, str], tuple[Placed, ...]]:
        """Return the columns of each table, by its sheet and its capacity."""
        tables: dict[tuple[str, str], list[Placed]] = {}
        for placed in self.located.fields.values():
            if placed.shape in ("column", "lot column"):
                tables.setdefault((placed.sheet, placed.row_key), []).append(placed)
        return {key: tuple(columns) for key, columns in tables.items()}

    @cached_property
    def rows_without_formulas(self) -> Mapping[tuple[str, str, int], bool]:
        """Return the inserted rows of tables that hold no formula; the value tells whether anything is typed in them.

        Key: sheet, capacity of the table, row on the sheet.
        """
        found: dict[tuple[str, str, int], bool] = {}
        for (sheet, key), columns in self.tables.items():
            formulas = [one for one in columns if not one.field.is_input]
            grown = columns[0].rows > self.contract.fields[columns[0].field.name].rows
            if not formulas or not grown:
                continue
            for row in range(columns[0].row, columns[0].row + columns[0].rows):
                if not any(self._content(one, row) for one in formulas):
                    found[sheet, key, row] = any(self._content(one, row) for one in columns if one.field.is_input)
        return found

    def _content(self, placed: Placed, row: int) -> str:
        columns = range(placed.column, placed.column + placed.columns)
        return "".join(self.view.content(Address(placed.sheet, row, column)) for column in columns)

    @cached_property
    def empty_row_cells(self) -> frozenset[Address]:
        """Return the formula cells of rows without formulas: rows that were inserted."""
        cells = set()
        for sheet, key, row in self.rows_without_formulas:
            for placed in self.tables[sheet, key]:
                cells |= {Address(sheet, row, placed.column + lot) for lot in range(placed.columns)}
        return frozenset(cells)

    # -- labels and texts -------------------------------------------------------------------

    @cached_property
    def other_cells(self) -> Mapping[Address, OtherCell]:
        """Return the cells that are no fields, where they should be now."""
        found = {}
        for other in self.contract.others:
            home = self._anchor(other.anchor)
            if home is not None and home.row + other.down > 0 and home.column + other.right > 0:
                found[Address(home.sheet, home.row + other.down, home.column + other.right)] = other
        return found

    @cached_property
    def broken_others(self) -> tuple[BrokenOther, ...]:
        """Return the labels, headings, units and texts that are not as made, and not elsewhere on the sheet either."""
        return tuple(self._others())

    def _others(self) -> Iterator[BrokenOther]:
        anywhere: dict[str, set[str]] = {}
        for address, other in self.other_cells.items():
            if other.is_formula:
                expected = self.expected(other.text[1:], Place(address.sheet, lot=other.lot))
                if expected is None or self.holds(address, expected):
                    continue
                expected = f"={expected}"
            else:
                expected = other.text
                if self.view.stored(address) == expected and self.view.formula(address) is None:
                    continue
            if expected in anywhere.setdefault(address.sheet, self._contents(address.sheet)):
                continue
            found = self.view.content(address)
            yield BrokenOther(address, other, found, expected)

    def _contents(self, title: str) -> set[str]:
        sheet = self.view.snapshot.sheet(title)
        found = set()
        for cell in sheet.cells.values() if sheet is not None else ():
            if cell.formula is not None:
                found.add(f"={cell.formula}")
            elif isinstance(cell.value, str):
                found.add(cell.value)
        return found

    def _anchor(self, name: str) -> Address | None:
        if name in self.view.counts:
            return Address(*self.view.counts[name])
        placed = self.located.fields.get(name) or self.located.fields.get(name.removesuffix("_first"))
        return None if placed is None else Address(placed.sheet, placed.row, placed.column)


def promised(view: BookView) -> Promised:
    """Return the contract held against the workbook."""
    return view.shared(Promised)
