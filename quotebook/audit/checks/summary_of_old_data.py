"""A pivot table or what-if table stands on data that it may not have seen.

What it finds
    Pivot tables and what-if tables. They are refreshed by hand, so that their figures may be older than the data.

Why it costs money
    A summary that leaves out the last operations looks as complete as any other.

Faulty
    a pivot table of the routing, refreshed before two operations were added

Sound
    sums by formulas

How to mend
    Refresh all in the spreadsheet program and save; better, use formulas.

False alarms
    Tables that nothing of the price uses; hence a remark unless the price depends on them.

Source
    Catalogue row T8.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import fact, tell
from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.view import BookView

CHECK = Check("summary-of-old-data", Severity.REMARK, ANY, When.WILL_GO_WRONG, Kind.STALE, ("T8",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for pivot tables together, and one for each what-if table's first cell."""
    pivots = [part for part in view.snapshot.parts if "pivottables/" in part.casefold()]
    if pivots:
        yield tell(
            view, CHECK, None, f"{len(pivots)} pivot tables", "figures that follow their data",
            "Refresh all and save; better, use formulas.", fact("pivot tables are refreshed by hand"),
        )  # fmt: skip
    tables = [cell for cell, reason in view.book.opaque.items() if "what-if" in reason]
    for cell in tables[:1]:
        yield tell(
            view, CHECK, cell, "a what-if table", "figures that follow their data",
            "Calculate all tables and save; better, use formulas.",
            fact("only the spreadsheet program can fill it"),
            severity=Severity.LOOK_AT_IT if any(map(view.is_on_price_path, tables)) else None,
        )  # fmt: skip
