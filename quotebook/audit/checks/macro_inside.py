"""The workbook holds code.

What it finds
    Macros, also hidden in a file named .xlsx, and old macro sheets.

Why it costs money
    Code can change prices, send the file away, or worse; it runs on a press of a button.

Faulty
    quote.xlsm with a vbaProject part

Sound
    quote.xlsx without code

How to mend
    Open it only if you know who wrote the code; save it as .xlsx to take the code away.

False alarms
    A shop's own macros, known and kept on purpose.

Source
    Catalogue row P1; the package format keeps code in its own parts.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("macro-inside", Severity.DO_NOT_QUOTE, ANY, When.WRONG_NOW, Kind.FILE, rows=("P1",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    if view.snapshot.has_macros:
        parts = [
            part for part in view.snapshot.parts if part.lower().endswith("vbaproject.bin") or "macrosheet" in part
        ]
        yield told(
            CHECK,
            None,
            f"code in {', '.join(parts) or 'the package'}",
            "a workbook without code",
            "Open it only if you know who wrote the code; save it as .xlsx to take the code away.",
            fact("the code was not run and not judged"),
        )
