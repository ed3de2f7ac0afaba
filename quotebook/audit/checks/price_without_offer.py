"""A purchase is priced without any supplier's offer behind it.

What it finds
    Stock and buyouts with a price of their own and no row on the Supplier prices sheet.

Why it costs money
    A price from memory is a guess; the supplier's next one is not.

Faulty
    Anodize  3.25 a piece | no row on Supplier prices

Sound
    Anodize | chosen: offer of 4 May, 3.25 a piece, lot minimum 150

How to mend
    Ask, and type the offer on the Supplier prices sheet; mark it as chosen.

False alarms
    Stock from the shelf, hardware from a catalogue. That is why this is a remark.

Source
    Catalogue row V17.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check("price-without-offer", Severity.REMARK, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.LEFT_OUT, ("V17",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per line."""
    offered = {str(view.field_value("supplier_line", row)).casefold() for row in rows_of(view, "supplier_line")}
    stock = view.field_cell("stock_own_price")
    if view.field_number("stock_own_price") and stock is not None and "stock" not in offered:
        yield _told(view, stock, "Stock")
    for row in rows_of(view, "buyout_name"):
        cell, name = view.field_cell("buyout_price", row), str(view.field_value("buyout_name", row))
        if view.field_number("buyout_price", row) and cell is not None and name.casefold() not in offered:
            yield _told(view, cell, name)


def _told(view: BookView, cell: Address, line: str) -> Finding:
    return tell(
        view, CHECK, cell, shown(view.value(cell)), f"an offer for {line}", "Type the offer on Supplier prices.",
        by_contract(f"no row of Supplier prices names {line}"),
    )  # fmt: skip
