"""A share is so small that its percent sign was rather typed twice.

What it finds
    Scrap, attrition, discount, markup, profit and expedite shares above 0 and below half a percent.

Why it costs money
    0.15 % of markup is no markup: 15 % was meant.

Faulty
    markup  0.15 %

Sound
    markup  15 %

How to mend
    Type the share again, as 15 with a percent sign or as 0.15.

False alarms
    Very safe processes do scrap less than one piece in two hundred. The limit is a guess from common practice, no
    source.

Source
    Catalogue row V15; fault kind "percent slip".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.checks.high_scrap import MOST
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import rounded_like
from quotebook.audit.view import BookView

CHECK = Check("share-too-small", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V15",))
LEAST = 0.005


def _meant(name: str, value: float) -> float:
    """Return the share that a percent sign typed twice explains, or, where that is too much, a point one place off."""
    return rounded_like(value * 100 if value * 100 <= MOST.get(name, 1.0) else value * 10)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        value = entry.value
        if entry.placed.field.type == "share" and isinstance(value, float) and 0 < value < LEAST:
            yield tell(
                view, CHECK, entry.address, f"{value:.3%}", f"0, or {LEAST:.1%} and more", "Type the share again.",
                by_value(f"a hundred times as much is {value * 100:.3%}"),
                by_contract(f"{entry.name} is a share"), put_right={entry.address: _meant(entry.name, value)},
            )  # fmt: skip
