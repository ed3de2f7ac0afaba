"""A filter hides rows that a sum still counts.

What it finds
    Sums over a filtered list of which some rows are hidden.

Why it costs money
    What is seen does not add up to what is charged.

Faulty
    a filtered list with =SUM(E5:E40) under it

Sound
    =SUBTOTAL(109,E5:E40), or no filter

How to mend
    Clear the filter, or use SUBTOTAL if only the rows on show should count.

False alarms
    Lists that are filtered for a look and meant to count in full.

Source
    Catalogue row F43.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Span
from quotebook.audit.package_facts import package_facts
from quotebook.audit.telling import shape, told
from quotebook.audit.totals import totals_of
from quotebook.audit.view import BookView
from quotebook.workbook.areas import parse_area

CHECK = Check("filtered-sum", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.BENT_RULE, rows=("F43",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each sum over a filtered list."""
    filters = [(title, parse_area(text)) for title, text in package_facts(view).filters]
    spans = [Span(title, *area) for title, area in filters if area is not None]
    grid = foreign(view).grid
    for total in totals_of(view).all:
        sheet = view.snapshot.sheet(total.span.sheet)
        if sheet is None or total.function != "SUM" or not total.down:
            continue
        hidden = [c for c in total.span.cells() if c.row in sheet.hidden_rows and grid.number(c)]
        if hidden and any(span.holds(hidden[0]) for span in spans):
            yield told(
                CHECK,
                total.cell,
                f"{grid.formula(total.cell)}, which counts {len(hidden)} filtered row(s)",
                "a sum of what is on show, or no filter",
                "Clear the filter, or use SUBTOTAL if only the rows on show should count.",
                shape("rows of the filtered list are hidden and counted"),
                explained_by=hidden,
            )
