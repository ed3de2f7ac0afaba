"""An operation runs on a work center and has no setup.

What it finds
    Operations with run minutes on a work center that has no setup hours in any operation of the routing.

Why it costs money
    Somebody has to set the machine up. For one piece, setup is most of the price.

Faulty
    Lathe | setup 0 h | cycle 12 min

Sound
    Lathe | setup 1.5 h | cycle 12 min

How to mend
    Type the setup hours, or the touch-offs and tight features that build them up.

False alarms
    A second operation in the same clamping, or a machine that stands ready. If another operation on the same work
    center has a setup, nothing is reported.

Source
    Catalogue row V2.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "operation-without-setup",
    Severity.LOOK_AT_IT,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.LEFT_OUT,
    ("V2",),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per work center, at its first operation's setup."""
    first: dict[str, int] = {}
    ready: set[str] = set()
    for row in rows_of(view, "operation_number"):
        center = view.field_value("operation_work_center", row)
        if not isinstance(center, str) or not center or view.field_value("operation_hand_rate", row) not in (None, ""):
            continue
        if view.field_number("run_minutes", row):
            first.setdefault(center, row)
        if view.field_number("setup_hours", row):
            ready.add(center)
    for center, row in first.items():
        cell = view.field_cell("setup_base_hours", row)
        if center not in ready and cell is not None:
            yield tell(
                view, CHECK, cell, "0 setup hours", f"setup hours of {center}", "Type the setup hours.",
                by_value(f"{center} runs {shown(view.field_number('run_minutes', row))} minutes a piece"),
                by_contract("no operation on this work center has a setup"),
            )  # fmt: skip
