"""A time is far from those of the other lines.

What it finds
    Setup hours, load minutes or nonrecurring hours that are several times the largest, or a small part of the
    smallest, of at least three others in the same column.

Why it costs money
    5.2 typed for 0.52 charges four and a half hours that nobody works; the other way round gives them away.

Faulty
    setup hours 0.5, 0.8, 12, 1.1

Sound
    setup hours 0.5, 0.8, 1.2, 1.1

How to mend
    Compare it with the paper that it came from.

False alarms
    One large operation among small ones. Six times the middle and two and a half times the next are asked for.

Source
    Catalogue rows F32, V5 and V31; fault kind "fat finger". The limits are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import by_factor
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check(
    "time-unlike-others", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("F32", "V5", "V31")
)
COLUMNS = ("setup_base_hours", "load_minutes", "nonrecurring_hours")
#: How many others there must be, how many times the next one it must be, and how many times the middle one.
FEWEST, NEXT, MIDDLE = 3, 2.5, 4.0


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    columns: dict[str, dict[Address, float]] = {name: {} for name in COLUMNS}
    for entry in entries(view):
        if entry.name in columns and isinstance(entry.value, float) and entry.value > 0:
            columns[entry.name][entry.address] = entry.value
    for name, column in columns.items():
        for cell, number in column.items():
            others = [other for place, other in column.items() if place != cell]
            if len(others) < FEWEST:
                break
            middle = median(others)
            large = number >= NEXT * max(others) and number >= MIDDLE * middle
            small = number <= min(others) / NEXT and number <= middle / MIDDLE
            if large or small:
                right = by_factor(number, min(others), max(others))
                yield tell(
                    view, CHECK, cell, shown(number), f"{shown(min(others))} to {shown(max(others))}, as the others",
                    "Compare it with the paper that it came from.",
                    by_value(f"{number / middle:.2g} times the middle of {len(others)} others"),
                    by_contract(f"{name} of one job"), put_right={} if right is None else {cell: right},
                )  # fmt: skip
