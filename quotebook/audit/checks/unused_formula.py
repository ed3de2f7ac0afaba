"""A formula that nothing reads.

What it finds
    Calculated figures in the middle of the way that no other formula reads and that are no price.

Why it costs money
    Either it is left over, or it should have been read: a cost worked out and then forgotten.

Faulty
    "Freight" =B5*C5, and no total reads it

Sound
    the total reads it, or it is gone

How to mend
    Bring it into the total, or delete it.

False alarms
    Checks, prices each and figures for information; only costs are told of.

Source
    Catalogue row F38.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.roles import Role, role_of_text
from quotebook.audit.telling import label, shape, told
from quotebook.audit.view import BookView

CHECK = Check(
    "unused-formula", Severity.LOOK_AT_IT, (Need.NO_CONTRACT, Need.PRICE), When.WRONG_NOW, Kind.LEFT_OUT, rows=("F38",)
)

_MEMO = re.compile(r"check|each|per |memo|margin|%|price|share|hour|time|total|sum|weight|average|percent")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each calculated cost that nothing reads."""
    facts = foreign(view)
    for cell in sorted(facts.grid.trees):
        number = facts.grid.number(cell)
        if not number or facts.grid.users.get(cell) or view.is_on_price_path(cell):
            continue
        named = facts.labels.of(cell).beside
        if role_of_text(named) is Role.COST and not _MEMO.search(named.casefold()) and not facts.runs.of.get(cell):
            yield told(
                CHECK,
                cell,
                f"{facts.grid.formula(cell)} = {shown(number)}, read by nothing",
                "a cost that the price depends on, or none",
                "Bring it into the total, or delete it.",
                shape("no formula reads it"),
                label(f'labelled "{named}"'),
            )
