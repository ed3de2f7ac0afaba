"""An empty cell stands in a run of like formulas.

What it finds
    A blank where the cells around it hold one and the same formula and its inputs are filled in.

Why it costs money
    The line has hours or quantities but no amount: its cost is in no total.

Faulty
    =B5*C5 | =B6*C6 | (blank, though B7 and C7 are filled) | =B8*C8

Sound
    =B5*C5 | =B6*C6 | =B7*C7 | =B8*C8

How to mend
    Copy the formula from the cell beside it.

False alarms
    Spacer rows are no alarm, for their inputs are blank. A line left out on purpose should be zeroed by its quantity.

Source
    Catalogue row F3; empty cells that should hold a formula are a published kind of fault of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.runs import Odd
from quotebook.audit.telling import shape, told, value
from quotebook.audit.view import BookView
from quotebook.engine.book import Status

CHECK = Check(
    "blank-in-run", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F3",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each empty cell in a run whose formula would come to something."""
    facts = foreign(view)
    for odd in facts.runs.odd:
        if facts.grid.is_blank(odd.cell):
            yield from _finding(view, odd)


def _finding(view: BookView, odd: Odd) -> Iterator[Finding]:
    would = view.what_if.results({odd.cell: Formula(odd.expected)}, [odd.cell])[0]
    if would.status is not Status.EVALUATED or not isinstance(would.value, float | str) or would.value in (0, ""):
        return
    facts = foreign(view)
    used = bool(facts.grid.users.get(odd.cell))
    if not used and facts.runs.is_subtotal(odd.run.cells[0]):
        return  # a row of totals need not have one in every column
    yield told(
        CHECK,
        odd.cell,
        "blank",
        f"={odd.expected}",
        "Copy the formula from the cell beside it.",
        shape(f"{len(odd.run.places)} like formulas in {odd.run.span}, the run goes on at this place"),
        value(f"the inputs of this line are filled in; the formula would give {shown(would.value)}"),
        severity=CHECK.severity if used else Severity.LOOK_AT_IT,
        put_right={odd.cell: Formula(odd.expected)},
    )
