"""An entry only holds a place for something that was to follow.

What it finds
    Inputs that hold "TBA", "TBD", "?", "xxx", "n/a", "lorem ipsum" or the like, and prices of 999, 9999 or 99999.

Why it costs money
    The quotation goes out with what nobody filled in.

Faulty
    customer  TBA

Sound
    customer  Example Pumps (invented)

How to mend
    Fill in what is known, or empty the cell: the Start sheet then says that it is missing.

False alarms
    A part whose name is really "X". Only whole entries are looked at.

Source
    Catalogue row V25.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check("placeholder-entry", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, ("V25",))
_WORDS = re.compile(r"(tba|tbd|tbc|todo|xxx+|\?+|n/?a|lorem ipsum.*|to follow|asdf+|test)", re.IGNORECASE)
_MONEY = ("money", "unit price", "rate")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        value = entry.value
        held = isinstance(value, str) and _WORDS.fullmatch(value.strip())
        nines = entry.placed.field.type in _MONEY and value in (999.0, 9999.0, 99999.0)
        if held or nines:
            yield tell(
                view, CHECK, entry.address, shown(value), "what belongs there", "Fill it in, or empty the cell.",
                by_value("such an entry stands for something that follows"), by_contract(f"{entry.name} is an input"),
            )  # fmt: skip
