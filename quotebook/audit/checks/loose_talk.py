"""Notes and far-off cells hold talk that was not meant for the customer.

What it finds
    Cell notes about prices, discounts or competitors, and texts far outside the filled part of a sheet.

Why it costs money
    "Can go down 10 %" in a note is read by the customer.

Faulty
    a note "can go -10%" on the price

Sound
    no notes in the copy that leaves the house

How to mend
    Delete the notes, or send a print.

False alarms
    Helpful notes on how to fill in a cell.

Source
    Catalogue row P11.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("loose-talk", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.FILE, rows=("P11",))

_TALK = re.compile(
    r"can go|go down|lowest|bottom price|max(imum)? discount|competitor|margin|we pay|our cost|do not (tell|show)"
    r"|-\s*\d+\s*%"
)
_FAR_ROWS, _FAR_COLUMNS = 300, 60


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each telling note and for the first far-off cell of each sheet."""
    for sheet in view.snapshot.sheets:
        for (row, column), text in sheet.comments.items():
            if _TALK.search(text.casefold()):
                yield told(
                    CHECK,
                    Address(sheet.title, row, column),
                    f'the note "{text.strip()[:80]}"',
                    "no talk about prices in notes",
                    "Delete the note before the workbook leaves the house.",
                    fact("everybody who has the file can read it"),
                )
        filled = sorted(key for key, cell in sheet.cells.items() if cell.value is not None)
        rows = sorted({row for row, _ in filled})
        gaps = [b for a, b in pairwise(rows) if b - a > _FAR_ROWS]
        columns = sorted({column for _, column in filled})
        wide = [b for a, b in pairwise(columns) if b - a > _FAR_COLUMNS]
        far = [key for key in filled if (gaps and key[0] >= gaps[0]) or (wide and key[1] >= wide[0])]
        if far:
            cell = Address(sheet.title, *far[0])
            yield told(
                CHECK,
                cell,
                f"{len(far)} cell(s) far off the filled part of the sheet",
                "nothing out of sight",
                "Look at them; delete what is left over.",
                fact(f"the first is {cell}"),
            )
