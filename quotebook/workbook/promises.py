"""Which cells no longer hold the formula that the contract promises for them.

The expected formula of a cell is worked out from the field names in the contract and from where the fields are now,
so inserted rows and renamed sheets change nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from quotebook.engine.filled_down import row_free
from quotebook.errors import TemplateError
from quotebook.template.plan import Placed
from quotebook.template.references import Place, resolve
from quotebook.values import Address
from quotebook.workbook.aligned import home_of, home_positions
from quotebook.workbook.contract import Contract
from quotebook.workbook.located import Located
from quotebook.workbook.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Broken:
    """A cell of a formula field that does not hold its formula. ``found`` is the formula, or the constant's text."""

    address: Address
    field: str
    found: str
    expected: str


def broken_promises(contract: Contract, located: Located, snapshot: Snapshot) -> Iterator[Broken]:
    """Yield every cell whose formula was changed, typed over or emptied, in the order of the contract."""
    for placed in located.fields.values():
        if placed.field.is_input:
            continue
        home = home_of(placed, located.fields)
        positions = home_positions(snapshot, placed, home) if home is not None else None
        in_step = positions is None or all(home_row == row for row, home_row in enumerate(positions))
        filled = _FilledDown()
        for address, place, formula in formula_cells(placed):
            cell = snapshot.cell(address)
            if (
                in_step
                and cell is not None
                and cell.formula is not None
                and filled.is_known(place, cell.formula, address)
            ):
                continue
            if positions is not None and place.row is not None:
                place = replace(place, home_row=positions[place.row])
            try:
                expected = "=" + resolve(formula, place, located.fields, contract.checks)
            except TemplateError:
                continue  # it refers to a field whose name is lost; the lost name is told apart
            if cell is not None and cell.formula is not None:
                found = "=" + cell.formula
                if found == expected or _mean_the_same(cell.formula, expected[1:], address):
                    filled.keep(place, cell.formula, expected[1:], address)
                    continue
            else:
                found = "" if cell is None or cell.value is None else str(cell.value)
            yield Broken(address, placed.field.name, found, expected)


class _FilledDown:
    """Formulas of one field that were found right and may be filled down: what follows from them need not be resolved.

    The formula that is promised for a row refers to cells that move with the row, or stay. Where two rows are promised
    one formula filled down, all rows are; then a cell that holds what a right cell holds, filled down, is right.
    """

    def __init__(self) -> None:
        self._promised: dict[int | None, tuple[int, str]] = {}
        self._right: dict[int | None, str] = {}

    def is_known(self, place: Place, formula: str, address: Address) -> bool:
        """Tell whether the formula of a cell is a right one filled down."""
        return place.row is not None and self._right.get(place.lot) == row_free(formula, address.row)

    def keep(self, place: Place, formula: str, expected: str, address: Address) -> None:
        """Keep a formula that was found right, with the text that was promised for its cell."""
        if place.row is None:
            return
        form = row_free(expected, address.row)
        row, before = self._promised.setdefault(place.lot, (address.row, form))
        if row != address.row:
            if before == form:
                self._right[place.lot] = row_free(formula, address.row)
            self._promised[place.lot] = address.row, form


def formula_cells(placed: Placed) -> Iterator[tuple[Address, Place, str]]:
    """Yield each cell of a formula field with its place and its formula in field names."""
    field, sheet = placed.field, placed.sheet
    for row in range(placed.rows):
        for column in range(placed.columns):
            address = Address(sheet, placed.row + row, placed.column + column)
            if placed.shape == "series":
                formula = field.first if column == 0 and field.first else field.formula
                yield address, Place(sheet, lot=column), formula
            elif placed.shape == "scalar":
                yield address, Place(sheet), field.formula
            else:
                lot = column if placed.shape == "lot column" else None
                yield address, Place(sheet, placed.row_key, row, lot), field.formula


def _mean_the_same(formula: str, other: str, address: Address) -> bool:
    from quotebook.engine.normal import normal_form  # the reader of formulas, which an unchanged workbook does not need

    return normal_form(formula, address) == normal_form(other, address)
