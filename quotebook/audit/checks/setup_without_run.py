"""An operation is set up and then runs for no time.

What it finds
    Operations with setup hours whose run minutes are 0, and from which nothing is sent out.

Why it costs money
    The cycle was forgotten: every piece of every lot is made for nothing.

Faulty
    Mill | setup 2 h | cycle 0

Sound
    Mill | setup 2 h | cycle 8 min

How to mend
    Type the cycle, or the cutting lines it is made from.

False alarms
    An operation that is only set up, such as trying out a fixture; that is rather nonrecurring work.

Source
    Catalogue rows V3 and V4.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "setup-without-run",
    Severity.LOOK_AT_IT,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.LEFT_OUT,
    ("V3", "V4"),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per operation."""
    for row in rows_of(view, "operation_number"):
        setup, run = view.field_number("setup_hours", row), view.field_number("run_minutes", row)
        cell = view.field_cell("cycle_minutes", row)
        if not setup or run != 0 or view.field_number("operation_outside", row) or cell is None:
            continue
        yield tell(
            view, CHECK, cell, "0 run minutes", "a cycle", "Type the cycle.",
            by_value(f"it is set up for {shown(setup)} hours"), by_contract("nothing is sent out at this operation"),
        )  # fmt: skip
