"""A chosen supplier price had run out when the quotation was made.

What it finds
    Chosen rows of the Supplier prices sheet whose "valid until" lies before the quotation date.

Why it costs money
    The supplier is free to ask more; the customer is not.

Faulty
    valid until 1 April | quotation of 4 May

Sound
    valid until 30 June | quotation of 4 May

How to mend
    Ask the supplier again, and type the new offer.

False alarms
    Frame contracts that go on; type their true end.

Source
    Catalogue row V18.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check("expired-offer", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.STALE, ("V18",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per row."""
    quoted = view.field_number("quote_date")
    for row in rows_of(view, "supplier_line"):
        until, cell = view.field_number("supplier_valid_until", row), view.field_cell("supplier_valid_until", row)
        if view.field_value("supplier_chosen", row) != "yes" or None in (until, quoted) or cell is None:
            continue
        if until is not None and quoted is not None and until < quoted:
            yield tell(
                view, CHECK, cell, f"{quoted - until:g} days before the quotation", "valid on the quotation date",
                "Ask the supplier again.",
                by_value(f"offer for {shown(view.field_value('supplier_line', row))}"),
                by_contract("the row is marked as chosen"),
            )  # fmt: skip
