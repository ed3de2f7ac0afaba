"""A time looks as if it were typed in another unit than the cell takes.

What it finds
    Setup and inspection hours of more than twelve, cycles of more than a day or of less than twelve seconds, load
    minutes of less than three seconds, inspection minutes of less than six, nonrecurring hours of more than a week and
    a half on one line.

Why it costs money
    Minutes in an hours cell cost sixty times too much and lose the order; hours in a minutes cell lose the money.

Faulty
    setup  90 h      (meant: 90 minutes)

Sound
    setup  1.5 h

How to mend
    Type the time in the unit that stands in the heading.

False alarms
    Very large parts do run for days, and bar-fed small ones for seconds; the limits are a guess from common practice,
    no source.

Source
    Catalogue rows V4 and V5; fault kind "unit slip".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import rounded_like
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "time-in-another-unit", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V4", "V5")
)
#: Field, smallest and largest likely entry, unit and what it may have been typed in.
_LIKELY = {
    "setup_base_hours": (1 / 60, 12.0, "hours", "minutes"),
    "cycle_minutes": (0.2, 1440.0, "minutes", "hours or seconds"),
    "load_minutes": (0.05, 480.0, "minutes", "hours or seconds"),
    "inspection_setup_hours": (1 / 60, 12.0, "hours", "minutes"),
    "inspection_report_hours": (1 / 60, 12.0, "hours", "minutes"),
    "inspection_minutes": (0.1, 480.0, "minutes", "hours or seconds"),
    "nonrecurring_hours": (1 / 60, 60.0, "hours", "minutes"),
}


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        limits = _LIKELY.get(entry.name)
        value = entry.value
        if limits is None or not isinstance(value, float) or not value or limits[0] <= value <= limits[1]:
            continue
        low, high, unit, other = limits
        # Minutes among hours are sixty times too many, hours among minutes sixty times too few.
        meant = rounded_like(value / 60 if value > high else value * 60)
        yield tell(
            view, CHECK, entry.address, f"{shown(value)} {unit}", f"{low:.2g} to {high:g} {unit}",
            "Type the time in the unit of its heading.",
            by_value(f"it may have been typed in {other}"), by_contract(f"{entry.name} takes {unit}"),
            put_right={entry.address: meant} if low <= meant <= high else {},
        )  # fmt: skip
