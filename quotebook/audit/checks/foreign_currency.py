"""A chosen supplier price is in another currency than the shop's.

What it finds
    Chosen rows of the Supplier prices sheet whose currency is another than the shop's.

Why it costs money
    The figure is taken as it stands: 100 of one money are not 100 of another.

Faulty
    chosen: 80.00 EUR | shop: USD

Sound
    chosen: 92.00 USD

How to mend
    Type the price in the shop's currency; say the rate in the reference.

False alarms
    Another way of writing the same currency; use its three letters.

Source
    Catalogue row V20.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check("foreign-currency", Severity.PROBABLY_WRONG, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V20",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per row."""
    own = view.field_value("currency_code")
    for row in rows_of(view, "supplier_line"):
        money, cell = view.field_value("supplier_currency", row), view.field_cell("supplier_currency", row)
        if view.field_value("supplier_chosen", row) != "yes" or not isinstance(money, str) or cell is None:
            continue
        if money.strip() and isinstance(own, str) and money.strip().casefold() != own.strip().casefold():
            yield tell(
                view, CHECK, cell, shown(money), shown(own), "Type the price in the shop's currency.",
                by_value(f"offer for {shown(view.field_value('supplier_line', row))}"),
                by_contract("the row is marked as chosen"),
            )  # fmt: skip
