"""The workbook carries objects of other programs.

What it finds
    Embedded documents, ActiveX controls and form controls.

Why it costs money
    They can hold code, or a whole document that the customer was never to see.

Faulty
    xl/embeddings/oleObject1.bin

Sound
    no embedded objects

How to mend
    Open the object and look; delete it if it is not needed.

False alarms
    A logo pasted as an object; buttons of an own form.

Source
    Catalogue row P5.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("embedded-object", Severity.LOOK_AT_IT, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("P5",))

_FOLDERS = ("embeddings/", "activeX/", "ctrlProps/", "fonts/")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    parts = [part for part in view.snapshot.parts if any(folder in part for folder in _FOLDERS)]
    if parts:
        active = any("activeX/" in part for part in parts)
        yield told(
            CHECK,
            None,
            f"{len(parts)} embedded part(s): {', '.join(parts[:4])}",
            "no embedded objects",
            "Open the objects and look; delete what is not needed.",
            fact("they were not opened"),
            severity=Severity.PROBABLY_WRONG if active else CHECK.severity,
        )
