"""A sheet is no longer protected against accidents.

What it finds
    Sheets of the workbook whose protection is off, or lets cells be formatted, rows deleted or inserted.

Why it costs money
    One key pressed on a formula cell makes a constant of it, and nobody notices.

Faulty
    Routing: not protected

Sound
    Routing: protected, no password

How to mend
    Review > Protect sheet, without a password. Protection is against accident, not secrecy: anybody may lift it.

False alarms
    To insert a row the protection has to be lifted; put it back afterwards.

Source
    Catalogue row S10.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView

CHECK = Check(
    "sheet-without-protection", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S10",)
)
#: Actions that protection must not allow; in the file an action is allowed when its attribute is 0 or false.
_FORBIDDEN = ("formatCells", "insertRows", "deleteRows", "insertColumns", "deleteColumns")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for all sheets together."""
    assert view.places is not None, "a contract is always located"
    told = []
    for title in view.places.titles.values():
        sheet = view.snapshot.sheet(title)
        if sheet is None:
            continue
        if not sheet.protected:
            told.append(f"{title} is not protected")
            continue
        allowed = [one for one in _FORBIDDEN if sheet.protection_options.get(one, "1").lower() in ("0", "false")]
        if allowed:
            told.append(f"{title} allows {', '.join(allowed)}")
    if told:
        yield tell(
            view, CHECK, None, "; ".join(told), "every sheet protected, without a password",
            "Protect the sheets again (no password).",
            by_contract("the workbook was made with every sheet protected"),
        )  # fmt: skip
