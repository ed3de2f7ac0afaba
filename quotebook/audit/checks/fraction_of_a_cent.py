"""An amount of money is typed more finely than there are coins.

What it finds
    Typed amounts with more decimals than the shop's currency has. Hourly rates, and prices of one piece, of a weight or
    of a length, may be finer and are not looked at.

Why it costs money
    Nobody is charged 3.071 for freight: the point stands one place too far left, and 30.71 is what the carrier asks.

Faulty
    freight per lot  3.071

Sound
    freight per lot  30.71

How to mend
    Compare the amount with the offer that it is from.

False alarms
    Amounts that were divided before they were typed.

Source
    Catalogue row V31; fault kind "fat finger". Decimals of currencies: ISO 4217, as the shop's profile gives them.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import rounded_like
from quotebook.audit.view import BookView, shown

CHECK = Check("fraction-of-a-cent", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V31",))
#: A typed amount is held to so many digits; beyond them it was calculated, and nobody mistyped it.
_MOST_DIGITS = 6


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    decimals = view.field_number("money_decimals")
    places = 2 if decimals is None else int(decimals)
    for entry in entries(view):
        value = entry.value
        if entry.placed.field.type != "money" or not isinstance(value, float) or entry.address in view.book.formulas:
            continue
        if _fits(value, places) or not _fits(value, places + 2) or len(f"{value:.15g}") > _MOST_DIGITS:
            continue
        meant = rounded_like(value * 10, 12)
        yield tell(
            view, CHECK, entry.address, shown(value), f"an amount of {places} decimals",
            "Compare the amount with the offer that it is from.",
            by_value(f"{shown(value)} cannot be paid"), by_contract(f"{entry.name} is an amount of money"),
            put_right={entry.address: meant} if _fits(meant, places) else {},
        )  # fmt: skip


def _fits(value: float, places: int) -> bool:
    return abs(value - round(value, places)) < 1e-9 * max(1.0, abs(value))
