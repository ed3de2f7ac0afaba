"""A setup has more tools or tight features than a machine or a drawing view holds.

What it finds
    More than 30 tools to touch off, or more than 12 features held to tight tolerances, in one operation.

Why it costs money
    Each of them adds minutes to every setup: 40 typed for 4 is hours that nobody works.

Faulty
    tools to touch off  40

Sound
    tools to touch off  4

How to mend
    Type what this one setup needs; split the operation if it really needs more.

False alarms
    Machines with large magazines. The limits are common practice, no source.

Source
    Catalogue row V31; fault kind "fat finger".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import by_factor
from quotebook.audit.view import BookView, shown

CHECK = Check("crowded-setup", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V31",))
_MOST = {"touch_offs": (30.0, "tools"), "tight_features": (12.0, "tight features")}


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        most, value = _MOST.get(entry.name), entry.value
        if most is None or not isinstance(value, float) or value <= most[0]:
            continue
        meant = by_factor(value, 1.0, most[0], (10.0,))
        yield tell(
            view, CHECK, entry.address, f"{shown(value)} {most[1]}", f"at most {most[0]:g}",
            "Type what this one setup needs.", by_value(f"{shown(value)} {most[1]} in one setup"),
            by_contract(f"{entry.name} adds minutes to every setup"),
            put_right={entry.address: meant} if meant is not None and meant == int(meant) else {},
        )  # fmt: skip
