"""A date is stored as text.

What it finds
    Texts that spell a date in cells that formulas read, and others once as a remark.

Why it costs money
    A validity that is text is never reached, and an offer never expires.

Faulty
    the text "03/04/25" in "Valid until"

Sound
    the date 3 April 2025

How to mend
    Type the date anew in a cell with a date format.

False alarms
    Dates in letters and headings that nothing reads.

Source
    Catalogue row F14.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import shape, told, value
from quotebook.audit.view import BookView

CHECK = Check(
    "date-as-text", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.HAND_SLIP, rows=("F14",)
)

_DATE = re.compile(r"\s*(\d{1,2}[./-]\d{1,2}[./-](\d{2}|\d{4})|\d{4}-\d{2}-\d{2})\s*")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each date kept as text that a formula reads."""
    grid = foreign(view).grid
    for cell, text in view.book.inputs.items():
        if isinstance(text, str) and _DATE.fullmatch(text) and grid.users.get(cell):
            yield told(
                CHECK,
                cell,
                f'the text "{text.strip()}"',
                "a date",
                "Type the date anew in a cell with a date format.",
                shape(f"{len(grid.users[cell])} formula(s) read it"),
                value("a text is later than every date when the two are compared"),
            )
