"""Somebody stands at a machine for longer than it runs.

What it finds
    Attendance shares above 100 % of the run.

Why it costs money
    The labor of the operation is charged more than once; often 1 person was typed as 100, or minutes as a share.

Faulty
    attendance  200 %

Sound
    attendance  50 %

How to mend
    Type the share of the run for which somebody is needed.

False alarms
    Two people at one large part.

Source
    Catalogue row V30.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check("odd-attendance", Severity.REMARK, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V30",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        if entry.name == "attendance_share" and isinstance(entry.value, float) and entry.value > 1:
            yield tell(
                view, CHECK, entry.address, f"{entry.value:.0%}", "at most 100%", "Type the share of the run.",
                by_value(f"{shown(entry.value)} people for each machine hour"), by_contract("it is a share of the run"),
            )  # fmt: skip
