"""Nonrecurring work is spread over more pieces than anybody asked for.

What it finds
    A spread quantity that is larger than the largest quantity to be priced.

Why it costs money
    Programming and fixtures are paid back only if all those pieces are ordered; at the quoted lots part of it is
    never paid.

Faulty
    largest lot 100 | spread over 1,000

Sound
    largest lot 100 | spread over 100

How to mend
    Charge it on a line of its own, or spread it over what is ordered.

False alarms
    An agreed yearly quantity, in writing.

Source
    Catalogue row V27.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "nonrecurring-spread-thin",
    Severity.LOOK_AT_IT,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WILL_GO_WRONG,
    Kind.REASONING,
    ("V27",),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding."""
    spread, cell = view.field_number("spread_quantity"), view.field_cell("spread_quantity")
    sizes = [view.field_number("lot_size", lot) or 0.0 for lot in view.lots]
    if spread is None or cell is None or not sizes or view.field_value("charging_in_force") != "spread":
        return
    if spread > max(sizes) and (view.field_number("nonrecurring_full") or 0) > 0:
        yield tell(
            view, CHECK, cell, shown(spread), f"at most {shown(max(sizes))}",
            "Charge it on a line of its own, or spread it over what is ordered.",
            by_value(f"the largest lot has {shown(max(sizes))} pieces"), by_contract("nonrecurring work is spread"),
        )  # fmt: skip
