"""A customer's copy holds more than the customer should see.

What it finds
    In a quotation that quotebook wrote for the customer: further or hidden sheets, defined names, formulas, and labels
    of costs, rates, margins or markups.

Why it costs money
    Whoever reads the file knows what the shop pays, and bargains from there. Hiding is no obstacle.

Faulty
    sheet Quotation, and a hidden sheet Rates

Sound
    sheet Quotation alone, with values only

How to mend
    Do not send it. Write the copy anew from the job's workbook: quotebook quote JOB.xlsx

False alarms
    Customers with whom the books are open. Copies that another program wrote are not recognised.

Source
    Catalogue row P6.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "cost-in-customer-copy", Severity.DO_NOT_QUOTE, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, rows=("P6",)
)
#: The title that a customer's copy has among its properties.
TITLE = "Quotation"
_INSIDE = re.compile(
    r"\b(costs?|margin|mark-?up|overhead|burden(ed)?|profit|hourly rates?|rate per hour|cost rate|sell rate)\b",
    re.IGNORECASE,
)
#: Longer texts are terms and remarks, in which such words may stand for anything.
_LONGEST_LABEL = 40
_MOST_NAMED = 5


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook, and one for each label of a cost."""
    snapshot = view.snapshot
    if snapshot.properties.get("title", "") != TITLE or not snapshot.sheets:
        return
    extra = [f"sheet {sheet.title}" for sheet in snapshot.sheets[1:]]
    extra += [f"name {name.name}" for name in snapshot.names if not name.name.startswith("_xlnm.")]
    extra += [f"formula in {cell}" for cell in sorted(view.book.formulas)]
    if extra:
        more = f" and {len(extra) - _MOST_NAMED} more" if len(extra) > _MOST_NAMED else ""
        yield _told(None, ", ".join(extra[:_MOST_NAMED]) + more, "one sheet with values only")
    for sheet in snapshot.sheets:
        for (row, column), cell in sheet.cells.items():
            text = cell.value
            if isinstance(text, str) and len(text) <= _LONGEST_LABEL and _INSIDE.search(text):
                yield _told(Address(sheet.title, row, column), text, "nothing about costs")


def _told(place: Address | None, found: str, expected: str) -> Finding:
    return told(
        CHECK, place, found, expected, "Do not send it; write the copy anew with quotebook quote.",
        fact("the file's properties say that it is a quotation for the customer"),
    )  # fmt: skip
