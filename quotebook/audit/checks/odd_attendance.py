"""Somebody stands at a machine for longer than it runs, or hardly at all.

What it finds
    Attendance shares above 100 % of the run, and below 20 %: one person at more than five machines.

Why it costs money
    The labor of the operation is charged more than once, or is missing; often 1 person was typed as 100 or as 0.1.

Faulty
    attendance  200 %

Sound
    attendance  50 %

How to mend
    Type the share of the run for which somebody is needed.

False alarms
    Two people at one large part; machines that run through the night. Common practice, no source.

Source
    Catalogue row V30.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import by_factor
from quotebook.audit.view import BookView, shown

#: The smallest share that is taken for meant.
LEAST = 0.2
CHECK = Check("odd-attendance", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V30",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        value = entry.value
        if entry.name == "attendance_share" and isinstance(value, float) and not (value == 0 or LEAST <= value <= 1):
            # A point one place off, or the percent sign typed twice; more than one person may be meant.
            meant = by_factor(value, LEAST, 1.0, (10.0, 100.0)) if value < LEAST else None
            yield tell(
                view, CHECK, entry.address, f"{value:.0%}", f"{LEAST:.0%} to 100%", "Type the share of the run.",
                by_value(f"{shown(value)} people for each machine hour"), by_contract("it is a share of the run"),
                put_right={} if meant is None else {entry.address: meant},
            )  # fmt: skip
