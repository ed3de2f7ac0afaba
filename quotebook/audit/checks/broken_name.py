"""A formula uses a name that is broken or not defined.

What it finds
    Defined names that say #REF! and are used, and names in formulas that are defined nowhere.

Why it costs money
    Everything behind the name is an error, or was caught and became 0.

Faulty
    =hours*shop_rate, where shop_rate is #REF!

Sound
    shop_rate points to the cell of the rate

How to mend
    Point the name to its cell again, or put the cell's address into the formula.

False alarms
    Broken names that no formula uses are common (54 of 274 measured real workbooks) and only remarked, once.

Source
    Catalogue row F49.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("broken-name", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F49",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each broken name in use, and one for all broken names that are not."""
    broken = {(name.sheet, name.name.casefold()): name for name in view.snapshot.names if "#REF!" in name.text}
    defined = {name.name.casefold() for name in view.snapshot.names}
    users: dict[str, list[Address]] = {}
    for cell, names in view.links.names_used.items():
        for sheet, name in names:
            keys = [(sheet, name), (None, name)]
            if name not in defined or any(key in broken for key in keys):
                users.setdefault(name, []).append(cell)
    for name, cells in users.items():
        said = "is defined nowhere" if name not in defined else "points to #REF!"
        yield told(
            CHECK,
            min(cells),
            f"the name {name}, which {said}",
            "a name that points to a cell",
            "Point the name to its cell again.",
            fact(f"{len(cells)} formula(s) use it"),
        )
    idle = [entry.name for key, entry in broken.items() if key[1] not in users and not entry.hidden]
    if idle:
        yield told(
            CHECK,
            None,
            f"{len(idle)} broken name(s) that no formula uses: {', '.join(idle[:5])}",
            "no broken names",
            "Delete them in the list of names.",
            fact("they point to #REF!"),
            severity=Severity.REMARK,
        )
