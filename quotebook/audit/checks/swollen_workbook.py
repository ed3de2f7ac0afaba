"""The workbook carries far more formats, names or formatted blank cells than it uses.

What it finds
    More than 4,000 cell formats, more than 2,000 defined names, or more than 50,000 cells that hold nothing but a
    format.

Why it costs money
    Such files are slow to open and to send, and one day the program refuses another format. They come from years of
    copying between workbooks, which also carries names that point to other people's files.

Faulty
    12,000 cell formats for 300 filled cells

Sound
    60 cell formats for 300 filled cells

How to mend
    Copy the sheets' cells into a new workbook, values and formulas only, and format them there.

False alarms
    Very large models. The limits are a guess; a program takes about 65,000 formats.

Source
    Catalogue row H17. 65,490 formats: Microsoft's published limits of a workbook, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("swollen-workbook", Severity.REMARK, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("H17",))
MOST_FORMATS, MOST_NAMES, MOST_BLANKS = 4_000, 2_000, 50_000


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    snapshot = view.snapshot
    cells = [cell for sheet in snapshot.sheets for cell in sheet.cells.values()]
    blanks = sum(cell.value is None and cell.formula is None for cell in cells)
    counts = (
        (len(snapshot.styles), MOST_FORMATS, "cell formats"),
        (len(snapshot.names), MOST_NAMES, "defined names"),
        (blanks, MOST_BLANKS, "cells with a format and nothing else"),
    )
    over = [f"{count:,} {what}" for count, most, what in counts if count > most]
    if over:
        yield told(
            CHECK, None, ", ".join(over), "as many as are used",
            "Copy values and formulas into a new workbook.", fact(f"{len(cells) - blanks:,} cells hold something"),
        )  # fmt: skip
