"""A price rests on a figure that another file holds.

What it finds
    Formulas on the way to the price that refer to another workbook. Its figures are only known as they were when the
    link was last refreshed, and here not at all.

Why it costs money
    The other file may have moved on, or be gone: the price rests on a figure that nobody can see.

Faulty
    rate  ='[rates.xlsx]Sheet1'!B7

Sound
    rate  95.00

How to mend
    Break the link, type the figure into an input cell, and say beside it where it comes from.

False alarms
    A central rate file is a fair idea; a quotation should still carry the rates it was priced with.

Source
    Catalogue row T7.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.at_field import fact, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView

CHECK = Check(
    "figure-from-another-file", Severity.PROBABLY_WRONG, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.STALE, ("T7",)
)
_LINK = re.compile(r"\[(\d+)\]")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per formula."""
    links = view.snapshot.external_links
    if not links:
        return
    for address, formula in view.book.formulas.items():
        match = _LINK.search(formula)
        if match is None or not 1 <= int(match[1]) <= len(links):
            continue
        yield tell(
            view, CHECK, address, f"={formula}", "a figure inside this workbook",
            "Break the link and type the figure into an input cell.",
            fact(f"link {match[1]} leads to {links[int(match[1]) - 1]!r}"),
            severity=None if view.is_on_price_path(address) else Severity.LOOK_AT_IT,
        )  # fmt: skip
