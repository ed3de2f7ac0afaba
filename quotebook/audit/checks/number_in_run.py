"""A typed number stands in a run of like formulas.

What it finds
    A constant where the cells before and behind it, or the rows beside it, hold one and the same formula.

Why it costs money
    The figure no longer follows its inputs. Rates and quantities change, this line stays, and the total is wrong.

Faulty
    =B5*C5 | =B6*C6 | 412.50 | =B8*C8

Sound
    =B5*C5 | =B6*C6 | =B7*C7 | =B8*C8

How to mend
    Copy the formula from the cell beside it; if the figure is meant, give it an input cell of its own with the reason.

False alarms
    A deliberate override. Typed figures at the end of a run, where two or more follow each other, are taken for inputs.

Source
    Catalogue row F2; a number typed over a formula is among the commonest faults that field audits report.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.runs import Odd
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.view import BookView
from quotebook.engine.book import Status

CHECK = Check(
    "number-in-run", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F2",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each typed number in a run."""
    facts = foreign(view)
    for odd in facts.runs.odd:
        if facts.grid.is_constant_number(odd.cell):
            yield _finding(view, odd)


def _finding(view: BookView, odd: Odd) -> Finding:
    facts = foreign(view)
    found = facts.grid.number(odd.cell)
    evidence = [shape(f"{len(odd.run.places)} like formulas in {odd.run.span}, the run goes on at this place")]
    if odd.sisters:
        evidence.append(label(f"{odd.sisters} run(s) beside it go through this place without a break"))
    would = view.what_if.results({odd.cell: Formula(odd.expected)}, [odd.cell])[0]
    severity = Severity.LOOK_AT_IT
    if would.status is Status.EVALUATED and isinstance(would.value, float) and found is not None:
        same = math.isclose(would.value, found, rel_tol=1e-6, abs_tol=1e-9)
        evidence.append(_value(same, would.value))
        severity = Severity.PROBABLY_WRONG if odd.flanked or odd.sisters else severity
    return told(
        CHECK,
        odd.cell,
        shown(found),
        f"={odd.expected}",
        "Copy the formula back; a figure of your own goes in an input cell with its reason.",
        *evidence,
        severity=severity,
        put_right={odd.cell: Formula(odd.expected)},
    )


def _value(same: bool, would: float) -> Evidence:
    if same:
        return value("the number is what the formula gives now, so it was a formula that somebody froze")
    return value(f"the formula of the run would give {shown(would)} here")
