"""A lot is priced under what it costs, or under the margin floor.

What it finds
    Lots whose extended price is below their cost, or whose margin is below the floor on the Rates sheet.

Why it costs money
    The order loses money, and the more of it the better it goes.

Faulty
    extended price 900 | our cost 1,050

Sound
    extended price 1,400 | our cost 1,050

How to mend
    Look at rates, scrap and discount. If the price is meant (a first order, a favour), accept the finding with your
    reason.

False alarms
    A strategic price is a decision and not a fault; that is what the accept file is for.

Source
    Catalogue row V8.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "lot-under-cost",
    Severity.PROBABLY_WRONG,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.REASONING,
    ("V8",),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per lot; neighbouring lots of one kind are folded to one."""
    floor = view.field_number("margin_floor") or 0.0
    for lot in view.lots:
        price, cost = view.field_number("extended_price", lot), view.field_number("lot_cost", lot)
        margin, cell = view.field_number("lot_margin", lot), view.field_cell("extended_price", lot)
        if price is None or cost is None or cell is None:
            continue
        below = price < cost
        if not below and (margin is None or margin >= floor):
            continue
        yield tell(
            view, CHECK, cell, shown(price), f"more than the cost of {shown(cost)}" if below else f"{floor:.1%} margin",
            "Look at rates, scrap and discount; accept it with a reason if it is meant.",
            by_value(f"our cost is {shown(cost)}"), by_contract(f"the shop's margin floor is {floor:.1%}"),
            severity=None if below else Severity.LOOK_AT_IT,
            alike="below cost" if below else "below the floor", explained_by=view.links.ancestors([cell]),
        )  # fmt: skip
