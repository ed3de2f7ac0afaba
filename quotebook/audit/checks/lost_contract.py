"""The workbook was made by quotebook, and its contract is gone.

What it finds
    Document properties or defined names of quotebook in a workbook without a contract that can be read.

Why it costs money
    Without the contract nothing can be held against what the workbook was made with; only the weaker checks are left.

Faulty
    document property quotebook_template = machined-part, and no contract sheet

Sound
    both

How to mend
    Take the hidden sheet "Contract" from an earlier copy, or make a new workbook and carry the inputs over by hand.

False alarms
    None known.

Source
    Catalogue row S16 (missing).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import fact, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView

CHECK = Check("lost-contract", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S16",))
_STAMP = "quotebook_template"


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    named = any(name.name.casefold() == _STAMP for name in view.snapshot.names)
    if named or _STAMP in view.snapshot.custom_properties:
        yield tell(
            view, CHECK, None, "the stamp of quotebook without its contract", "the hidden sheet with the contract",
            "Take the hidden sheet from an earlier copy of the workbook.",
            fact("the workbook carries the stamp of quotebook"),
        )  # fmt: skip
