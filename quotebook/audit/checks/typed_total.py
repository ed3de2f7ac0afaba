"""A total is typed instead of added up.

What it finds
    A number under a block of figures, in a row labelled as total or among sums of the columns beside it.

Why it costs money
    The lines above change, the total does not.

Faulty
    E5:E9 amounts, E10 "Total" 412.50

Sound
    E10 =SUM(E5:E9)

How to mend
    Put the sum back.

False alarms
    Totals copied from a supplier's paper, where the lines are for information.

Source
    Catalogue row F2; a formula replaced by its value is an operator of published fault seeding (FRC).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Span, a1, shown
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.totals import totals_of
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "typed-total", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F2", "S1")
)

_TOTAL = re.compile(r"\b(sub|grand)?[ -]?totals?\b|\bsums?\b", re.IGNORECASE)
_FEWEST = 2


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each typed number that stands where a total belongs."""
    facts = foreign(view)
    for cell, number in view.book.inputs.items():
        if not isinstance(number, float):
            continue
        for down in (True, False):
            finding = _judge(view, facts, cell, number, down)
            if finding is not None:
                yield finding
                break


def _judge(view: BookView, facts: Foreign, cell: Address, number: float, down: bool) -> Finding | None:
    block = _block(facts, cell, down)
    if block is None:
        return None
    evidence: list[Evidence] = []
    named = facts.labels.of(cell)
    text = named.beside if down else named.above
    if _TOTAL.search(text):
        evidence.append(label(f'labelled "{text}"'))
    sisters = [
        total
        for total in totals_of(view).all
        if total.down == down and total.cell.sheet == cell.sheet and total.function == "SUM"
        and (total.cell.row == cell.row if down else total.cell.column == cell.column)
        and total.ends == ((block.top, block.bottom) if down else (block.left, block.right))
        and facts.grid.style(total.cell).number_format == facts.grid.style(cell).number_format
    ]  # fmt: skip
    if sisters:
        evidence.append(shape(f"{a1(sisters[0].cell)} beside it is {facts.grid.formula(sisters[0].cell)}"))
    added = math.fsum(facts.grid.number(each) or 0.0 for each in block.cells())
    same = math.isclose(added, number, rel_tol=1e-9, abs_tol=1e-9) and added != 0
    if same:
        evidence.append(value(f"it is what {block} adds up to"))
    elif evidence:
        evidence.append(value(f"{block} adds up to {shown(added)}"))
    used = bool(facts.grid.users.get(cell))
    named_so = bool(_TOTAL.search(text))
    strong = same or (bool(sisters) and (named_so or (added > 0 and 0.5 < number / added < 2)))
    if len(evidence) < 2 or not (used or sisters) or not (strong or (named_so and _formulas(facts, block))):
        return None
    return told(
        CHECK,
        cell,
        shown(number),
        f"=SUM({block})",
        "Put the sum back in place of the number.",
        *evidence,
        severity=CHECK.severity if used else Severity.LOOK_AT_IT,
        put_right={cell: Formula(f"SUM({block})")},
    )


def _formulas(facts: Foreign, block: Span) -> bool:
    return any(facts.grid.is_formula(cell) for cell in block.cells())


def _block(facts: Foreign, cell: Address, down: bool) -> Span | None:
    """Return the figures right above (or to the left), one blank allowed between; None for fewer than two."""
    step, places = 1, []
    while True:
        place = cell._replace(row=cell.row - step) if down else cell._replace(column=cell.column - step)
        if min(place.row, place.column) < 1 or step > 300:
            break
        if facts.grid.number(place) is not None:
            places.append(place)
        elif places or step > 1 or not facts.grid.is_blank(place):
            break
        step += 1
    if len(places) < _FEWEST:
        return None
    first, last = places[-1], places[0]
    return Span(cell.sheet, first.row, first.column, last.row, last.column)
