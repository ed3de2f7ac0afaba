"""The price changes without anybody changing an input.

What it finds
    TODAY, NOW, RAND and the like on the way to the price, and references built while calculating (INDIRECT, OFFSET).

Why it costs money
    The quote that was sent and the quote that is opened next week differ; what was quoted can no longer be shown.

Faulty
    =IF(TODAY()>B3,rate*1.05,rate)

Sound
    =IF(B2>B3,rate*1.05,rate), with the quote's date typed in B2

How to mend
    Type the date of the quote into a cell and use that; put a plain reference in place of INDIRECT or OFFSET.

False alarms
    Dates that are only printed are not on the way to the price and not told of.

Source
    Catalogue rows F19, F20 and T9.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check(
    "changes-by-itself",
    Severity.LOOK_AT_IT,
    (Need.NO_CONTRACT,),
    When.WILL_GO_WRONG,
    Kind.BENT_RULE,
    rows=("F19", "F20", "T9"),
)

_CLOCK = frozenset({"TODAY", "NOW"})
_CHANCE = frozenset({"RAND", "RANDBETWEEN", "RANDARRAY"})
_BUILT = frozenset({"INDIRECT", "OFFSET", "CELL", "INFO", "ADDRESS"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula of that kind that the price depends on."""
    grid = foreign(view).grid
    for cell, functions in view.links.functions.items():
        if not view.is_on_price_path(cell):
            continue
        chance, clock, built = functions & _CHANCE, functions & _CLOCK, functions & _BUILT
        if chance or clock:
            yield told(
                CHECK,
                cell,
                grid.formula(cell),
                "a typed date" if clock else "a fixed figure",
                "Type the date of the quote into a cell and use that.",
                fact(f"{', '.join(sorted(chance | clock))} changes with the day or at random; the price depends on it"),
                severity=Severity.PROBABLY_WRONG,
                alike="clock",
            )
        elif built:
            yield told(
                CHECK,
                cell,
                grid.formula(cell),
                "a plain reference",
                "Put a plain reference or INDEX in its place.",
                fact(f"{', '.join(sorted(built))} reads a cell that is only named while calculating"),
                alike="built",
            )
