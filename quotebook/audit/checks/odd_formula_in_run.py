"""One formula differs from the run that it stands in.

What it finds
    A formula unlike the like formulas around it: another reference, operator, function or a number in place of a cell.

Why it costs money
    One line is worked out in another way than its neighbours: wrong rate, wrong line, minus for plus.

Faulty
    =B5*C5 | =B6*C6 | =B7*C6 | =B8*C8

Sound
    =B5*C5 | =B6*C6 | =B7*C7 | =B8*C8

How to mend
    Compare it with the formula beside it; copy that one over if no reason is found.

False alarms
    A line that is worked out in its own way on purpose. A formula that shares little with the run is therefore only
    to be looked at; one small edit away from it is a slip.

Source
    Catalogue rows F1 and F30; comparing copies along a run is what published error finders build on.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.runs import Odd, small_edit
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.view import BookView
from quotebook.engine.book import Status

CHECK = Check(
    "odd-formula-in-run",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT,),
    When.WRONG_NOW,
    Kind.POINTING,
    rows=("F1", "F30"),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula that falls out of its run."""
    facts = foreign(view)
    for odd in facts.runs.odd:
        if facts.grid.is_formula(odd.cell) and not _running_start(facts, odd):
            yield from _finding(view, facts, odd)


def _finding(view: BookView, facts: Foreign, odd: Odd) -> Iterator[Finding]:
    found = facts.grid.formula(odd.cell)
    edit = small_edit(found, odd.expected)
    if edit is None and not odd.flanked:
        return
    evidence = [shape(f"{len(odd.run.places)} like formulas in {odd.run.span}, this one is not like them")]
    if edit is not None:
        evidence.append(label(f"one small edit apart: {edit.found or 'nothing'} where {edit.expected or 'nothing'} is"))
    now, would = facts.grid.number(odd.cell), view.what_if.results({odd.cell: Formula(odd.expected)}, [odd.cell])[0]
    same = True
    if would.status is Status.EVALUATED and isinstance(would.value, float) and now is not None:
        same = math.isclose(would.value, now, rel_tol=1e-9, abs_tol=1e-9)
        evidence.append(value(f"it gives {shown(now)}, the run would give {shown(would.value)}"))
    grave = edit is not None and not (same and now is not None)
    yield told(
        CHECK,
        odd.cell,
        found,
        f"={odd.expected}",
        "Compare it with its neighbours; if there is no reason for the difference, copy the neighbour's formula.",
        *evidence,
        severity=CHECK.severity if grave else Severity.LOOK_AT_IT,
        put_right={odd.cell: Formula(odd.expected)},
    )


def _running_start(facts: Foreign, odd: Odd) -> bool:
    """A running total begins without the line before it, which is as it should be."""
    if odd.flanked:
        return False
    edit = small_edit(facts.grid.formula(odd.cell), odd.expected)
    if edit is not None and edit.found:
        return False
    first = odd.cell < odd.run.cells[0]
    uses = facts.grid.uses.get(odd.run.cells[0], ())
    return first and any(use.span.holds(odd.cell) for use in uses)
