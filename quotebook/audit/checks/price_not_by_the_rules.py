"""The workbook's price is not the one that its inputs come to.

What it finds
    Lots whose recomputed price or cost differs from the reference pricing: plain arithmetic on the inputs that never
    looks at a formula of the workbook.

Why it costs money
    Whatever is wrong on the way, known or unknown, shows in the price; this is the price it should be.

Faulty
    extended price 996.20 | by the rules 1,099.65

Sound
    extended price 1,099.65 | by the rules 1,099.65

How to mend
    Look at the other findings first: they name the cell. If there is none, send the workbook to the makers of
    quotebook.

False alarms
    A template changed by the shop has rules of its own.

Source
    The reference pricing is the project's own independent witness; its equations are listed in its documents.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.engine.agreement import Verdict, compare

CHECK = Check(
    "price-not-by-the-rules",
    Severity.DO_NOT_QUOTE,
    (Need.CONTRACT, Need.MODELS, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.REASONING,
    ("T1", "V10"),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each kind of figure, at the first lot that differs."""
    from quotebook.pricing import price_job

    assert view.job is not None, "the check needs a job"
    assert view.shop is not None, "the check needs a shop profile"
    price = price_job(view.job, view.shop)
    by_size = {float(lot.quantity): lot for lot in price.lots}
    for name in ("extended_price", "first_order_total", "repeat_extended", "lot_cost"):
        for number in view.lots:
            lot = by_size.get(view.field_number("lot_size", number) or 0.0)
            cell = view.field_cell(name, number)
            if lot is None or cell is None:
                continue
            figures = {
                "extended_price": lot.extended_price,
                "first_order_total": lot.first_order_total,
                "repeat_extended": lot.repeat.extended_price,
                "lot_cost": lot.cost,
            }
            due, found = figures[name], view.value(cell)
            if due is None or not view.known(cell) or compare(found, float(due)).verdict is Verdict.AGREES:
                continue
            is_price = name != "lot_cost"
            yield tell(
                view, CHECK, cell, shown(found), shown(float(due)), "Look at the other findings first.",
                by_value(f"the inputs come to {due:,.2f}"),
                severity=None if is_price else Severity.PROBABLY_WRONG,
                effect=float(due) - found if is_price and isinstance(found, float) else None if is_price else 0.0,
                explained_by=view.links.ancestors([cell]),
            )  # fmt: skip
            break
