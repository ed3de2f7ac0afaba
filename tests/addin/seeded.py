"""Five faults seeded into the complete workbook, each with its place and what mends it; worked out by hand."""

from __future__ import annotations

from pathlib import Path

from quotebook.flows.opening import open_workbook
from quotebook.values import Address, Value
from tests.audit.contract_base import Spoiled, formula, spoil, typed
from tests.made import place

#: Check that must find it: the field and row or lot, and the change.
FAULTS = {
    "typed-over-formula": (("setup_hours", 0), typed(9.0)),
    "changed-formula": (("goods_price", 1), formula("ROUND(D9*D8*2,money_decimals)")),
    "weight-against-size": (("stock_density", 0), typed(2.7)),
    "foreign-currency": (("supplier_currency", 1), typed("USD")),
    "placeholder-entry": (("customer_name", 0), typed("TBA")),
}


def seed(base: Path, target: Path) -> Path:
    """Write a copy of the complete workbook with all five faults and its results calculated."""
    return spoil(base, target, Spoiled(dict(FAULTS.values())))


def place_of(base: Path, key: tuple[str, int]) -> Address:
    """Return the cell of a field and row, or lot for a row of the Price sheet."""
    opened = open_workbook(base)
    assert opened.located is not None
    name, index = key
    return place(opened, name, lot=index) if opened.located.fields[name].columns > 1 else place(opened, name, index)


def content_of(base: Path, cell: Address) -> str:
    """Return what a person types to put the cell back as it was."""
    snapshot = open_workbook(base).snapshot
    held = snapshot.cell(cell)
    assert held is not None
    return f"={held.formula}" if held.formula is not None else _typed(held.value)


def _typed(value: Value) -> str:
    return "" if value is None else f"{value:.15g}" if isinstance(value, float) else str(value)
