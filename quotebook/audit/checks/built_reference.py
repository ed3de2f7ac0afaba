"""A reference on the way to the price is built while calculating.

What it finds
    INDIRECT, OFFSET and the like, whose target stands nowhere in the formula.

Why it costs money
    Nobody, and no program, can trace which rate is read; insert a row and it reads another one without an error.

Faulty
    =C5*INDIRECT("Rates!B"&A5)

Sound
    =C5*INDEX(Rates!B2:B9,A5)

How to mend
    Put a plain reference or INDEX in its place.

False alarms
    One switch between sheets that are made alike is a known use of INDIRECT.

Source
    Catalogue rows F19 and F20.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check(
    "built-reference",
    Severity.LOOK_AT_IT,
    (Need.NO_CONTRACT,),
    When.WILL_GO_WRONG,
    Kind.BENT_RULE,
    rows=("F19", "F20"),
)

_BUILT = frozenset({"INDIRECT", "OFFSET", "CELL", "INFO", "ADDRESS"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula of that kind that the price depends on."""
    grid = foreign(view).grid
    for cell, functions in view.links.functions.items():
        built = functions & _BUILT
        if built and view.is_on_price_path(cell):
            yield told(
                CHECK,
                cell,
                grid.formula(cell),
                "a plain reference",
                "Put a plain reference or INDEX in its place.",
                fact(f"{', '.join(sorted(built))} reads a cell that is only named while calculating"),
                alike="built",
            )
