"""The package points to something outside that is fetched on opening.

What it finds
    Images, templates or objects at a web or network address; ordinary links that a person clicks are not meant.

Why it costs money
    Whoever runs that address learns when and where the quote is opened; network addresses leak passwords.

Faulty
    an image at \\\\server\\share\\logo.png

Sound
    the image inside the workbook

How to mend
    Put the picture into the workbook; remove the pointer.

False alarms
    Pictures on a file server of the own house.

Source
    Catalogue row P4.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.package_facts import package_facts
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("outside-pointer", Severity.PROBABLY_WRONG, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("P4",))

#: Told of elsewhere, or followed only when a person clicks.
_KNOWN = frozenset({"hyperlink", "externallinkpath", "externallink", "xlpathmissing", "xlexternallinkpath"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each kind of pointer, and one for clickable links to network places."""
    pointers = package_facts(view).pointers
    for kind in sorted({each.kind for each in pointers} - _KNOWN):
        own = [each for each in pointers if each.kind == kind]
        yield told(
            CHECK,
            None,
            f"{kind} fetched from {own[0].target}" + (f" and {len(own) - 1} more" if len(own) > 1 else ""),
            "everything inside the workbook",
            "Put it into the workbook and remove the pointer; do not allow updates on opening.",
            fact(f"{own[0].part} points outside; nothing was fetched"),
        )
    places = [e for e in pointers if e.kind == "hyperlink" and e.target.startswith(("\\\\", "file:"))]
    if places:
        yield told(
            CHECK,
            None,
            f"links to places in a network: {places[0].target}",
            "web or mail addresses, or none",
            "Remove the links before the workbook leaves the house.",
            fact(f"{len(places)} link(s)"),
            severity=Severity.REMARK,
        )
