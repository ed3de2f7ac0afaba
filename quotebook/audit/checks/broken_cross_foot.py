"""The lines shown on the Price sheet do not add up to the extended price.

What it finds
    Lots whose "Extended price: the sum of these lines" differs from the extended price above it.

Why it costs money
    The two are worked out on separate ways. Where they differ, one of them is wrong, and the customer gets one of them.

Faulty
    Extended price  1,099.65 | the sum of these lines  1,049.65

Sound
    Extended price  1,099.65 | the sum of these lines  1,099.65

How to mend
    Look for the changed formula; this audit names it if it is one of the workbook's own.

False alarms
    None known: the line "Rounding" takes up what rounding leaves.

Source
    Catalogue row S15.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "broken-cross-foot", Severity.DO_NOT_QUOTE, (Need.CONTRACT, Need.RECOMPUTED), When.WRONG_NOW, Kind.REASONING,
    ("S15",),
)  # fmt: skip
#: Half a unit of the fourth decimal: money has at most four, and both sides are rounded.
TOLERANCE = 0.00005


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per lot that does not add up."""
    for lot in view.lots:
        total, extended = view.field_number("total_shown", lot), view.field_number("extended_price", lot)
        cell = view.field_cell("total_shown", lot)
        if total is None or extended is None or cell is None or abs(total - extended) <= TOLERANCE:
            continue
        yield tell(
            view, CHECK, cell, shown(total), shown(extended), "Find the changed formula on the way to either figure.",
            by_contract("the shown lines add up to the extended price"),
            explained_by=view.links.ancestors([cell]),
        )  # fmt: skip
