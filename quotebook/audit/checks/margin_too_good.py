"""The margin is higher than any shop gets.

What it finds
    Lots with a margin above 70 % of the price, unless the order minimum makes the price.

Why it costs money
    A price that is far too high loses the order; a cost that is far too low does the same later.

Faulty
    extended price 9,000 | our cost 900

Sound
    extended price 1,300 | our cost 900

How to mend
    Look for a cost rate of 0, a missing purchase, a quantity or price typed tenfold.

False alarms
    Very small lots, where the first piece carries everything. The ceiling is a guess from common practice, no
    source.

Source
    Catalogue row V9.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "margin-too-good", Severity.REMARK, (Need.CONTRACT, Need.RECOMPUTED), When.WRONG_NOW, Kind.HAND_SLIP, ("V9",)
)
CEILING = 0.7


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per lot; neighbouring lots are folded to one."""
    for lot in view.lots:
        margin, cell = view.field_number("lot_margin", lot), view.field_cell("lot_margin", lot)
        if margin is None or cell is None or margin <= CEILING or view.field_number("minimum_supplement", lot):
            continue
        yield tell(
            view, CHECK, cell, f"{margin:.1%}", f"at most {CEILING:.0%}",
            "Look for a cost of 0 or a figure typed tenfold.",
            by_value(f"our cost is {shown(view.field_number('lot_cost', lot))}"),
            by_contract("no order minimum makes this price"), alike="margin",
            explained_by=view.links.ancestors([cell]),
        )  # fmt: skip
