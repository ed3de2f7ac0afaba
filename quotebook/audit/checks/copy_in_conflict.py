"""The file's name says that it is a second copy of another one.

What it finds
    Names that a program gives when two people saved one file ("conflicted copy", "sync-conflict"), and the numbered or
    "Copy of" names of a file saved twice, where the first file lies beside it.

Why it costs money
    Two copies of one quote drift apart; the price is corrected in one, and the other is sent.

Faulty
    bracket (1).xlsx   beside bracket.xlsx

Sound
    bracket.xlsx

How to mend
    Compare the two (quotebook compare), keep one, and delete the other.

False alarms
    A copy that was made on purpose for another quote; give it that quote's name.

Source
    Catalogue row H21. Lock files and empty files are refused when they are opened, with that reason.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("copy-in-conflict", Severity.REMARK, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("H21",))
_CONFLICT = re.compile(r"conflicted copy|[.-]sync-conflict-|\bconflict(ing)? copy\b|-conflict\b", re.IGNORECASE)
_SECOND = re.compile(r"^(?:copy of )(?P<after>.+)$|^(?P<before>.+?)(?: \(\d\)| - copy)$", re.IGNORECASE)


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    stem = view.path.stem
    second = _SECOND.match(stem)
    first = view.path.with_name((second["after"] or second["before"]) + view.path.suffix) if second else None
    if _CONFLICT.search(stem):
        reason = "a program writes such a name when two people saved one file"
    elif first is not None and first.exists():
        reason = f"{first.name} lies beside it"
    else:
        return
    yield told(
        CHECK, None, view.path.name, "one file for one quote", "Compare the two, keep one, and delete the other.",
        fact(reason),
    )  # fmt: skip
