"""Protected or hidden sheets are no secret.

What it finds
    Hidden sheets or hidden formulas behind a sheet or workbook password.

Why it costs money
    The protection is a guard against accidents; anybody can read the figures in the file.

Faulty
    a hidden cost sheet behind a password, sent to the customer

Sound
    a copy without the cost sheet, or a print

How to mend
    Send a print or a copy without the sheets that the customer is not to see.

False alarms
    Workbooks that stay in the house.

Source
    Catalogue row P14; the format says itself that protection is not security.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check(
    "protection-no-secret", Severity.REMARK, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.FILE, rows=("P14",)
)

_PASSWORDS = ("password", "hashValue")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    locked = [s.title for s in view.snapshot.sheets if any(key in s.protection_options for key in _PASSWORDS)]
    hidden = [sheet.title for sheet in view.snapshot.sheets if sheet.state != "visible"]
    if locked and hidden:
        yield told(
            CHECK,
            None,
            f"hidden sheets ({', '.join(hidden)}) and a password ({', '.join(locked)})",
            "a copy without what the customer is not to see",
            "Send a print or a copy without those sheets.",
            fact("a password on a sheet keeps nobody from reading the file"),
        )
