"""The file carries a digital signature that nobody checked here.

What it finds
    Signature parts in the package.

Why it costs money
    A signature that no longer fits the content says that the quote was altered after signing.

Faulty
    _xmlsignatures/sig1.xml

Sound
    a signature that the program shows as valid

How to mend
    Open the file in the spreadsheet program and look whether it says the signature is valid.

False alarms
    Every signed file is told of: the signature is not verified here.

Source
    Catalogue row P15, in part: presence only.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("signature-inside", Severity.REMARK, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("P15",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    parts = [part for part in view.snapshot.parts if "_xmlsignatures/" in part]
    if parts:
        yield told(
            CHECK,
            None,
            f"a digital signature ({parts[0]})",
            "a signature that fits the content",
            "Let the spreadsheet program verify it; a later save breaks it.",
            fact("it was not verified here"),
        )
