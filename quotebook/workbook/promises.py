"""Which cells no longer hold the formula that the contract promises for them.

The expected formula of a cell is worked out from the field names in the contract and from where the fields are now,
so inserted rows and renamed sheets change nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

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
        for address, place, formula in formula_cells(placed):
            if positions is not None and place.row is not None:
                place = replace(place, home_row=positions[place.row])
            try:
                expected = "=" + resolve(formula, place, located.fields, contract.checks)
            except TemplateError:
                continue  # it refers to a field whose name is lost; the lost name is told apart
            cell = snapshot.cell(address)
            if cell is not None and cell.formula is not None:
                found = "=" + cell.formula
                if found == expected or _mean_the_same(cell.formula, expected[1:], address):
                    continue
            else:
                found = "" if cell is None or cell.value is None else str(cell.value)
            yield Broken(address, placed.field.name, found, expected)


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
