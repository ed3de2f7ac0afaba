"""Formula cells can be typed over although the sheet is protected.

What it finds
    Cells of formula fields whose format is not locked.

Why it costs money
    They are the next figures to be typed over.

Faulty
    lot hours  =B4+B5   (unlocked)

Sound
    lot hours  =B4+B5   (locked)

How to mend
    Format the cells as locked, and protect the sheet.

False alarms
    Cells pasted from elsewhere bring their own format along; their formulas may be right all the same.

Source
    Catalogue row S11.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("unlocked-formula", Severity.REMARK, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S11",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per field."""
    unlocked: dict[str, list[Address]] = {}
    for address, place in view.fields_at.items():
        if not place.placed.field.is_input and view.formula(address) is not None and not view.style(address).locked:
            unlocked.setdefault(place.name, []).append(address)
    for name, cells in unlocked.items():
        yield tell(
            view, CHECK, cells, f"{len(cells)} unlocked formula cells", "locked formula cells",
            "Format the cells as locked.", by_contract(f"{name} is a formula"), alike="unlocked",
        )  # fmt: skip
