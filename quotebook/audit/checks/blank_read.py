"""A formula calculates with an empty cell.

What it finds
    Products, quotients and sums of single cells that read a blank, where the cells around show that a figure was meant.

Why it costs money
    A blank counts as 0: the whole line costs nothing.

Faulty
    =C5*D2, the rate is in E2 and D2 is blank

Sound
    =C5*E2

How to mend
    Fill in the blank cell or point the formula to the cell that was meant.

False alarms
    Inputs left blank on purpose: a labelled blank in a line of inputs is only to be looked at when it multiplies.

Source
    Catalogue row F10.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1
from quotebook.audit.telling import fact, label, on, shape, told
from quotebook.audit.view import BookView
from quotebook.audit.written import Part, parts
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check("blank-read", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F10",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula that calculates with an empty cell."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        for part in parts(tree):
            blank = _blank(facts, cell, part)
            if blank is not None and not _optional(facts, cell, blank, part):
                yield _finding(view, facts, cell, blank, part)
                break


def _blank(facts: Foreign, cell: Address, part: Part) -> Address | None:
    if not isinstance(part.node, s.Reference) or part.node.form != "cell" or not part.around:
        return None
    over = part.around[-1]
    arithmetic = (isinstance(over, s.Binary) and over.operator in "*/+-") or (
        isinstance(over, s.Chain) and set(over.operators) <= {"+", "-"}
    )
    uses = list(facts.grid.uses_in(part.node, cell))
    if not arithmetic or len(uses) != 1:
        return None
    place = next(uses[0].span.cells())
    return place if facts.grid.is_blank(place) else None


def _factor(part: Part) -> bool:
    over = part.around[-1]
    return isinstance(over, s.Binary) and over.operator in "*/"


def _optional(facts: Foreign, cell: Address, blank: Address, part: Part) -> bool:
    """Tell whether the blank is an input that may stay empty: labelled, on its own line, and read by a whole run."""
    named = facts.labels.of(blank)
    if any(isinstance(over, s.Call) and over.name == "IF" for over in part.around):
        return True
    if facts.runs.of.get(cell) and blank.sheet == cell.sheet and (blank.row == cell.row or blank.column == cell.column):
        return True  # one line of a filled-down block, not in use
    return bool(named.beside) and not _factor(part)


def _finding(view: BookView, facts: Foreign, cell: Address, blank: Address, part: Part) -> Finding:
    named = facts.labels.of(blank)
    factor = _factor(part)
    grave = factor and not (named.beside or named.above) and view.is_on_price_path(cell)
    evidence = [shape(f"{on(blank, cell.sheet)} is blank and counts as 0" + (" in a product" if factor else ""))]
    evidence.append(
        label(f'it is labelled "{named}"') if str(named) else fact("it has no label: no input is meant there")
    )
    return told(
        CHECK,
        cell,
        f"{facts.grid.formula(cell)}, where {on(blank, cell.sheet)} is blank",
        "a cell with a figure",
        f"Fill in {a1(blank)} or point the formula to the cell that was meant.",
        *evidence,
        severity=Severity.PROBABLY_WRONG if grave else Severity.LOOK_AT_IT,
        alike=f"{a1(blank)}",
    )
