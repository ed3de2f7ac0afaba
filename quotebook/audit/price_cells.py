"""Which cells say the price, in the order in which a change of price is looked for."""

from __future__ import annotations

from typing import NamedTuple

from quotebook.template.plan import Placed
from quotebook.values import Address
from quotebook.workbook.located import Located

#: Fields of a contract whose figures are prices: for each lot, then those of the whole quotation.
_BY_LOT = ("extended_price", "first_order_total", "repeat_extended", "unit_price", "repeat_unit_price")
_ON_QUOTATION = (
    "quote_extended", "quote_unit_price", "quote_first_total", "quote_supplement", "quote_nonrecurring",
    "quote_repeat_unit",
)  # fmt: skip
_SINGLE = ("first_piece_total", "next_piece_price")


class PriceCell(NamedTuple):
    """A cell that holds a price. ``what``: in words; ``lot``: 1 for the first quantity break, 0 for none."""

    address: Address
    what: str
    lot: int = 0


def contract_price_cells(located: Located, lots: tuple[int, ...]) -> tuple[PriceCell, ...]:
    """Return the price cells of a workbook with a contract, for the lots (1 is the first break) that are in use.

    The first is the extended price of the first quantity: the one that effects are told of unless only others move.
    """
    found: list[PriceCell] = []
    for name in _BY_LOT:
        placed = located.fields.get(name)
        if placed is not None:
            found += [PriceCell(_across(placed, lot), f"{placed.field.label}, lot {lot}", lot) for lot in lots]
    for name in _ON_QUOTATION:
        placed = located.fields.get(name)
        if placed is not None:
            found += [PriceCell(_down(placed, lot), f"{placed.field.label} on the quotation", lot) for lot in lots]
    for name in _SINGLE:
        placed = located.fields.get(name)
        if placed is not None:
            found.append(PriceCell(Address(placed.sheet, placed.row, placed.column), placed.field.label))
    return tuple(found)


def _across(placed: Placed, lot: int) -> Address:
    return Address(placed.sheet, placed.row, placed.column + lot)


def _down(placed: Placed, lot: int) -> Address:
    return Address(placed.sheet, placed.row + lot - 1, placed.column)
