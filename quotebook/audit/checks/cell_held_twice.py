"""The file holds one cell twice.

What it finds
    Two entries for one address, which programs read differently.

Why it costs money
    One program shows the one price, another the other.

Faulty
    A1 twice in the sheet part

Sound
    each cell once

How to mend
    Open the file, look at the cell, type it again and save.

False alarms
    None known: no spreadsheet program writes such files.

Source
    Catalogue row H18.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("cell-held-twice", Severity.PROBABLY_WRONG, ANY, When.WRONG_NOW, Kind.FILE, rows=("H18",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    twice = view.snapshot.duplicates
    if twice:
        yield told(
            CHECK,
            None,
            f"{len(twice)} cell(s) held twice: {', '.join(twice[:5])}",
            "each cell once",
            "Look at these cells in the spreadsheet program, type them again and save.",
            fact("the last entry was used here; other programs may use the first"),
        )
