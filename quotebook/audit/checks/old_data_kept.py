"""The file keeps copies of data that its cells no longer show.

What it finds
    Stored copies of pivot tables and of other workbooks that links point to.

Why it costs money
    Deleted customers, costs and prices travel with the quote.

Faulty
    xl/pivotCache/pivotCacheRecords1.xml

Sound
    no stored copies in the file that leaves the house

How to mend
    Delete the pivot table or link, or use the program's document inspector.

False alarms
    Workbooks that stay in the house.

Source
    Catalogue row P7, in part: pivot and link copies.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("old-data-kept", Severity.REMARK, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("P7",))

_COPIES = ("pivotCacheRecords", "externalLinks/externalLink")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    parts = [p for p in view.snapshot.parts if any(copy in p for copy in _COPIES) and not p.endswith(".rels")]
    if parts:
        yield told(
            CHECK,
            None,
            f"stored copies of other data: {', '.join(parts[:4])}",
            "no stored copies in a file that leaves the house",
            "Remove them with the program's document inspector before sending.",
            fact("they can be read by everybody who has the file"),
        )
