"""The dates of the job contradict each other.

What it finds
    A due date before the quotation date; a quotation date more than a month after today; a lead time shorter than
    the longest lead time of a chosen supplier.

Why it costs money
    A quotation with a wrong year is not open any more, or never ends; a lead time that cannot be kept costs the
    customer.

Faulty
    quotation 4 May 2031 | due 1 March 2031

Sound
    quotation 4 May 2031 | due 1 July 2031

How to mend
    Type the dates again, year first.

False alarms
    A reprint of an old quotation keeps its dates, and that is not reported.

Source
    Catalogue rows V22 and V23.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "dates-out-of-order", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V22", "V23")
)
_MONTH = 31


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per contradiction."""
    quoted, due = view.field_number("quote_date"), view.field_number("due_date")
    quote_cell, due_cell = view.field_cell("quote_date"), view.field_cell("due_date")
    if quoted is not None and due is not None and due < quoted and due_cell is not None:
        yield tell(
            view, CHECK, due_cell, f"{quoted - due:g} days before the quotation", "after the quotation date",
            "Type the dates again.", by_value("the part would be due before it is quoted"),
        )  # fmt: skip
    zero = date(1904, 1, 1) if view.snapshot.calculation.date1904 else date(1899, 12, 30)
    ahead = None if quoted is None else quoted - (view.today - zero).days
    if ahead is not None and ahead > _MONTH and quote_cell is not None:
        yield tell(
            view, CHECK, quote_cell, f"{ahead:g} days ahead of today", f"at most {_MONTH} days ahead",
            "Type the date again.", by_value("the quotation date lies far ahead"), severity=Severity.REMARK,
        )  # fmt: skip
    yield from _lead_time(view)


def _lead_time(view: BookView) -> Iterator[Finding]:
    ours, cell = view.field_number("lead_days"), view.field_cell("lead_days")
    if ours is None or cell is None:
        return
    chosen = [row for row in rows_of(view, "supplier_line") if view.field_value("supplier_chosen", row) == "yes"]
    longest = max((view.field_number("supplier_lead_days", row) or 0.0 for row in chosen), default=0.0)
    if longest > ours:
        yield tell(
            view, CHECK, cell, f"{shown(ours)} days", f"at least {shown(longest)} days",
            "Give the lead time that the suppliers need.",
            by_value("a chosen supplier needs longer"), by_contract("the row is marked as chosen"),
        )  # fmt: skip
