"""A quantity break does not go with the others.

What it finds
    Quantities that are not in rising order, and a quantity so near to its neighbour, while all the others lie far
    apart, that both would hardly have been asked for.

Why it costs money
    840 typed for 480 gives a price to a quantity that nobody asked for, and none to the one that was.

Faulty
    60, 120, 240, 840, 960

Sound
    60, 120, 240, 480, 960

How to mend
    Compare the quantities with the customer's request.

False alarms
    A customer who asks for 900 and 960 has a reason; then leave it.

Source
    Catalogue row V34; fault kind "fat finger". That breaks are asked for in steps: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check(
    "quantity-out-of-pattern", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V34",)
)
#: A step smaller than this, where every other is larger than the second, is out of the pattern.
SMALL_STEP, USUAL_STEP = 1.3, 1.6


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for each pair of neighbours."""
    lots = _quantities(view)
    steps = [after / before for (_, before), (_, after) in pairwise(lots)]
    for index, step in enumerate(steps):
        others = [one for number, one in enumerate(steps) if number != index]
        pair = [lots[index][0], lots[index + 1][0]]
        told = ", ".join(shown(number) for _, number in lots)
        if step <= 1:
            yield tell(
                view, CHECK, pair, told, "quantities that rise", "Compare them with the request; sort them, each once.",
                by_value(f"{shown(lots[index + 1][1])} stands after {shown(lots[index][1])}"),
                by_contract("quantity breaks rise"), severity=Severity.PROBABLY_WRONG,
                put_right=_put_right(lots, index),
            )  # fmt: skip
        elif step < SMALL_STEP and len(others) >= 2 and all(one >= USUAL_STEP for one in others):
            yield tell(
                view, CHECK, pair, told, "quantities that lie apart", "Compare them with the request.",
                by_value(f"{shown(lots[index][1])} and {shown(lots[index + 1][1])} differ by {step - 1:.0%}, others "
                         f"by {min(others) - 1:.0%} and more"),
                by_contract("quantity breaks"),
            )  # fmt: skip


def _put_right(lots: list[tuple[Address, float]], index: int) -> dict[Address, float]:
    """Return which of two neighbours a point one place off explains; nothing for neither, or both."""
    found: list[tuple[Address, float]] = []
    for at in (index, index + 1):
        low = lots[at - 1][1] if at else 0.0
        high = lots[at + 1][1] if at + 1 < len(lots) else math.inf
        cell, number = lots[at]
        found += [(cell, meant) for meant in (number / 10, number * 10) if low < meant < high and meant == round(meant)]
    return dict(found) if len(found) == 1 else {}


def _quantities(view: BookView) -> list[tuple[Address, float]]:
    placed = view.field("break_quantity")
    found = []
    for row in range(placed.rows if placed is not None else 0):
        cell = view.field_cell("break_quantity", row)
        number = view.number(cell) if cell is not None else None
        if cell is not None and number:
            found.append((cell, number))
    return found
