"""A scrap share is higher than a shop would live with.

What it finds
    Scrap shares of an operation above 8 %, and losses of bought parts above 30 %.

Why it costs money
    Half of the pieces started are paid by nobody; more often the share was typed as a number of pieces or without
    its percent sign.

Faulty
    scrap  50 %

Sound
    scrap  5 %

How to mend
    Type the share that is lost at this operation; for a tiny lot use spare pieces.

False alarms
    Trial lots and brittle materials. The limit is a guess from common practice, no source.

Source
    Catalogue row V15; fault kind "percent slip".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import rounded_like
from quotebook.audit.view import BookView, shown

CHECK = Check("high-scrap", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V15",))
#: Shares above which a loss is told: common practice, no source.
MOST = {"scrap_share": 0.08, "buyout_attrition": 0.3}


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        value, most = entry.value, MOST.get(entry.name)
        if most is not None and isinstance(value, float) and value > most:
            # A point one place off, where that gives a share as people type it: whole or half percents.
            meant = rounded_like(value / 10)
            yield tell(
                view, CHECK, entry.address, f"{value:.1%}", f"at most {most:.0%}", "Type the share that is lost here.",
                by_value(f"{shown(value)} of the pieces are lost"), by_contract(f"{entry.name} is a share"),
                put_right={entry.address: meant} if meant * 200 == round(meant * 200) and meant <= most else {},
            )  # fmt: skip
