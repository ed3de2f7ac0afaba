"""Supplier prices for one line contradict each other.

What it finds
    A price that is higher from a larger quantity on than from a smaller one of the same supplier; and prices for one
    line, from other suppliers or typed on the line itself, that are less than two fifths or more than two and a half
    times this one.

Why it costs money
    52.80 typed for 5.28 makes the purchase ten times as dear, or the choice fall on the wrong supplier.

Faulty
    Supplier A: 5.28, from 40 on 47.50   Supplier B: 6.62

Sound
    Supplier A: 5.28, from 40 on 4.75   Supplier B: 6.62

How to mend
    Compare the prices with the suppliers' offers.

False alarms
    Suppliers who quote in other units (a pack, a hundred); the price must be for the unit of the line.

Source
    Catalogue rows V6, V18, V19 and V31; fault kind "fat finger".
"""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median
from typing import NamedTuple

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import by_factor
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check(
    "supplier-price-out-of-line", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP,
    ("V6", "V18", "V31"),
)  # fmt: skip
#: Prices for one line that differ by more than this factor contradict each other.
FARTHEST = 2.5


class Offer(NamedTuple):
    """A price for a line, with its cell; ``supplier`` is "" for the price that stands on the line itself."""

    cell: Address
    supplier: str
    quantity: float
    price: float


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for each price."""
    for line, offers in _offers(view).items():
        for offer in offers:
            others = [one for one in offers if one is not offer]
            found = _apart(view, line, offer, others)
            if found is not None:
                yield found
        for one in offers:
            dearer = [o for o in offers if one.supplier and o.supplier == one.supplier and o.quantity > one.quantity]
            for other in dearer:
                if other.price > one.price:
                    yield tell(
                        view, CHECK, [one.cell, other.cell], 
                        f"{shown(one.price)}, from {shown(other.quantity)} on {shown(other.price)}",
                        "a price that does not rise with the quantity", "Compare the prices with the offer.",
                        by_value(f"{other.supplier} asks more from {shown(other.quantity)} on"),
                        by_contract(f"prices for {line}"),
                    )  # fmt: skip


def _apart(view: BookView, line: str, offer: Offer, others: list[Offer]) -> Finding | None:
    """Return a finding where a price is far from every other one; of two alone each may be the wrong one."""
    prices = [one.price for one in others]
    if not prices or min(max(offer.price / one, one / offer.price) for one in prices) <= FARTHEST:
        return None
    right = by_factor(offer.price, min(prices) / 2, max(prices) * 2, (10.0,)) if len(prices) > 1 else None
    return tell(
        view, CHECK, offer.cell, shown(offer.price), f"about {shown(median(prices))}",
        "Compare the prices with the suppliers' offers.",
        by_value(f"{len(prices)} other price(s) for {line}: {', '.join(shown(one) for one in prices[:5])}"),
        by_contract("prices for one unit of the same thing"), put_right={} if right is None else {offer.cell: right},
    )  # fmt: skip


def _offers(view: BookView) -> dict[str, list[Offer]]:
    """Return the prices by line: the suppliers', and the one typed on the line itself."""
    lines: dict[str, list[Offer]] = {}
    for row in rows_of(view, "supplier_line"):
        line, supplier = view.field_value("supplier_line", row), view.field_value("supplier_name", row)
        cell, quantity = view.field_cell("supplier_price", row), view.field_number("supplier_from", row)
        if isinstance(line, str) and cell is not None and (price := view.number(cell)):
            name = supplier.strip().casefold() if isinstance(supplier, str) else ""
            lines.setdefault(line.strip().casefold(), []).append(Offer(cell, name, quantity or 1.0, price))
    for row in rows_of(view, "buyout_name"):
        name_of_line = view.field_value("buyout_name", row)
        if isinstance(name_of_line, str):
            _own(view, lines.get(name_of_line.strip().casefold()), view.field_cell("buyout_price", row))
    _own(view, lines.get("stock"), view.field_cell("stock_own_price"))
    return lines


def _own(view: BookView, offers: list[Offer] | None, cell: Address | None) -> None:
    price = view.number(cell) if cell is not None else None
    if offers is not None and cell is not None and price:
        offers.append(Offer(cell, "", 1.0, price))
