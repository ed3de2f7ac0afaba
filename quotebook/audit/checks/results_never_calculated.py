"""Formulas have no stored results: the file was written by a program and never calculated.

What it finds
    Workbooks in which all formulas, or some of them, have no stored result.

Why it costs money
    A preview or an import shows blanks or zeros, and a total of the rest.

Faulty
    run hours =B4*C4/60   (nothing stored)

Sound
    run hours =B4*C4/60   stored as 23.33

How to mend
    Open the file in the spreadsheet program and save it; or write a copy with results:
    quotebook recompute FILE --save-as COPY.xlsx

False alarms
    Files written by a script are so by nature; the finding is then true and harmless until somebody reads the file
    without calculating.

Source
    Catalogue rows T2 and T3.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import fact, tell
from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.stale import stale
from quotebook.audit.view import BookView

CHECK = Check("results-never-calculated", Severity.LOOK_AT_IT, ANY, When.WRONG_NOW, Kind.STALE, ("T2", "T3"))


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding: for the whole workbook, or at the first of the missing results."""
    sorted_out = stale(view)
    missing = sorted_out.missing
    if not missing:
        return
    every = not any(view.stored(address) is not None for address in view.book.formulas)
    yield tell(
        view, CHECK, None if every else missing[0],
        f"{len(missing)} formulas without a stored result", "a stored result beside every formula",
        "Open the file in the spreadsheet program and save it.",
        fact("no formula has a stored result" if every else f"{sorted_out.stored} others have one"),
    )  # fmt: skip
