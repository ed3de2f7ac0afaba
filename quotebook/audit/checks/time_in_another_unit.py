"""A time looks as if it were typed in another unit than the cell takes.

What it finds
    Setup hours of more than a day, cycles of more than a day or of less than a second, inspection and nonrecurring
    hours of more than a month.

Why it costs money
    Minutes in an hours cell cost sixty times too much and lose the order; hours in a minutes cell lose the money.

Faulty
    setup  90 h      (meant: 90 minutes)

Sound
    setup  1.5 h

How to mend
    Type the time in the unit that stands in the heading.

False alarms
    Very large parts do run for days; the limits are a guess from common practice, no source.

Source
    Catalogue rows V4 and V5; fault kind "unit slip".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "time-in-another-unit", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V4", "V5")
)
#: Field, smallest and largest likely entry, unit and what it may have been typed in.
_LIKELY = {
    "setup_base_hours": (1 / 60, 24.0, "hours", "minutes"),
    "cycle_minutes": (1 / 60, 1440.0, "minutes", "hours or seconds"),
    "load_minutes": (1 / 60, 480.0, "minutes", "hours or seconds"),
    "inspection_setup_hours": (1 / 60, 40.0, "hours", "minutes"),
    "inspection_report_hours": (1 / 60, 40.0, "hours", "minutes"),
    "inspection_minutes": (1 / 60, 480.0, "minutes", "hours or seconds"),
    "nonrecurring_hours": (1 / 60, 400.0, "hours", "minutes"),
}


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        limits = _LIKELY.get(entry.name)
        value = entry.value
        if limits is None or not isinstance(value, float) or not value or limits[0] <= value <= limits[1]:
            continue
        low, high, unit, other = limits
        yield tell(
            view, CHECK, entry.address, f"{shown(value)} {unit}", f"{low:.2g} to {high:g} {unit}",
            "Type the time in the unit of its heading.",
            by_value(f"it may have been typed in {other}"), by_contract(f"{entry.name} takes {unit}"),
        )  # fmt: skip
