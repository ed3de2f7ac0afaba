"""A total is made with another function than adding up.

What it finds
    AVERAGE, MAX, MIN or COUNT over a block in a cell that is labelled as a total, or beside cells that add up theirs.

Why it costs money
    The average of twelve lines in place of their sum is a twelfth of the cost.

Faulty
    "Total" =AVERAGE(E5:E9)

Sound
    "Total" =SUM(E5:E9)

How to mend
    Put SUM in place of the function.

False alarms
    Labels that themselves speak of an average, a largest or a number of things.

Source
    Catalogue rows F51 and F8; function replacement is an operator of published fault seeding (FFR).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Span, a1
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.totals import totals_of
from quotebook.audit.view import BookView
from quotebook.audit.written import Part, parts, with_part, written
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "wrong-function", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F51", "F8")
)

_OTHERS = frozenset({"AVERAGE", "MAX", "MIN", "COUNT", "COUNTA", "MEDIAN", "PRODUCT"})
_TOTAL = re.compile(r"\b(sub)?\s*totals?\b|\bsums?\b|\bcost\b|\bprice\b")
_MEANT = re.compile(r"average|\bavg|mean|\bmax|\bmin\b|minimum|largest|smallest|highest|lowest|count|number of|longest")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each block of figures that is not added up where it should be."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        for part in parts(tree):
            if isinstance(part.node, s.Call) and part.node.name in _OTHERS and len(part.node.arguments) == 1:
                evidence = _total_meant(facts, view, cell, part, part.node)
                if evidence:
                    yield _finding(facts, cell, tree, part.node, evidence)


def _total_meant(facts: Foreign, view: BookView, cell: Address, part: Part, call: s.Call) -> list[Evidence]:
    spans = [use.span for use in facts.grid.uses_in(call.arguments[0], cell)]
    if len(spans) != 1 or spans[0].size < 2 or len(facts.grid.filled(spans[0])) < 2:
        return []
    span, named = spans[0], facts.labels.of(cell)
    down = span.left == span.right
    text = named.beside if down else named.above
    if _MEANT.search(named.words):
        return []
    evidence: list[Evidence] = []
    if _TOTAL.search(text.casefold()):
        evidence.append(label(f'the cell is labelled "{text}"'))
    if _under_or_beside(cell, span):
        evidence.append(shape(f"it stands at the end of {span}, where a total stands"))
    sisters = [
        total
        for total in totals_of(view).all
        if total.down == down and total.cell.sheet == cell.sheet and total.cell != cell
        and (total.cell.row == cell.row if down else total.cell.column == cell.column)
    ]  # fmt: skip
    if sisters:
        evidence.append(value(f"{a1(sisters[0].cell)} beside it adds up {sisters[0].span}"))
    return evidence if len(evidence) >= 2 else []


def _under_or_beside(cell: Address, span: Span) -> bool:
    if span.left == span.right == cell.column:
        return 0 < cell.row - span.bottom <= 3
    return span.top == span.bottom == cell.row and 0 < cell.column - span.right <= 3


def _finding(facts: Foreign, cell: Address, tree: s.Node, call: s.Call, evidence: list[Evidence]) -> Finding:
    mended = written(with_part(tree, call, call._replace(name="SUM")))
    return told(
        CHECK,
        cell,
        facts.grid.formula(cell),
        f"={mended}",
        f"Put SUM in place of {call.name}, unless the label is what is wrong.",
        *evidence,
        put_right={cell: Formula(mended)},
        alike=call.name,
    )
