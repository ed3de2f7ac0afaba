"""A purchase is priced without any supplier's offer behind it.

What it finds
    Stock and buyouts with a price of their own and no row on the Supplier prices sheet, where that sheet is used.

Why it costs money
    A price from memory is a guess; the supplier's next one is not.

Faulty
    Anodize  3.25 a piece | no row on Supplier prices

Sound
    Anodize | chosen: offer of 4 May, 3.25 a piece, lot minimum 150

How to mend
    Ask, and type the offer on the Supplier prices sheet; mark it as chosen.

False alarms
    Stock from the shelf, hardware from a catalogue. That is why this is a remark, and only made where the sheet is
    used for other lines.

Source
    Catalogue row V17.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("price-without-offer", Severity.REMARK, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.LEFT_OUT, ("V17",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for all lines together, at the first of them."""
    offered = {str(view.field_value("supplier_line", row)).casefold() for row in rows_of(view, "supplier_line")}
    bare: list[tuple[Address, str]] = []
    stock = view.field_cell("stock_own_price")
    if view.field_number("stock_own_price") and stock is not None and "stock" not in offered:
        bare.append((stock, "Stock"))
    for row in rows_of(view, "buyout_name"):
        cell, name = view.field_cell("buyout_price", row), str(view.field_value("buyout_name", row))
        if view.field_number("buyout_price", row) and cell is not None and name.casefold() not in offered:
            bare.append((cell, name))
    if bare and offered:
        lines = ", ".join(name for _, name in bare)
        yield tell(
            view, CHECK, bare[0][0], f"prices of your own for {lines}", "an offer for each line",
            "Type the offers on Supplier prices.", by_contract(f"no row of Supplier prices names {lines}"),
        )  # fmt: skip
