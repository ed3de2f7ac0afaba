"""A total takes in a figure that is no line of its block.

What it finds
    A range that reaches over a heading with a number in it (a quantity, a year, a rate) or over a percentage.

Why it costs money
    A lot size of 100 in a sum of amounts is 100 too much.

Faulty
    C10 is the lot size, C11:C13 are costs, the total is =SUM(C10:C13)

Sound
    the total is =SUM(C11:C13)

How to mend
    Shorten the range to the lines that belong together.

False alarms
    A first line that merely has another number format. Label and number format must both be unlike those of the others.

Source
    Catalogue row F7; a range that was drawn too far is an operator of published fault seeding (CRE).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.roles import Role, role_of_text
from quotebook.audit.telling import label, shape, told
from quotebook.audit.totals import Total, totals_of, with_range
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "stranger-in-total", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F7",)
)

_NO_MONEY = frozenset({Role.QUANTITY, Role.RATE, Role.SHARE, Role.MARKUP, Role.MARGIN, Role.WEIGHT, Role.SIZE})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each total with a stranger at one of its ends."""
    facts = foreign(view)
    for total in totals_of(view).all:
        first, last = total.ends
        for place, rest in ((first, (first + 1, last)), (last, (first, last - 1))):
            cell = total.at(place)
            if facts.grid.is_constant_number(cell) and facts.grid.number(cell):
                evidence = _strange(facts, total, cell)
                if evidence:
                    yield _finding(facts, total, cell, rest, evidence)


def _strange(facts: Foreign, total: Total, cell: Address) -> list[Evidence]:
    grid = facts.grid
    others = [each for each in total.span.cells() if each != cell and grid.number(each) is not None]
    if len(others) < 2:
        return []
    evidence: list[Evidence] = []
    look, looks = grid.style(cell).number_format, {grid.style(each).number_format for each in others}
    if look not in looks and (len(looks) == 1 or "%" in look):
        evidence.append(shape(f"{a1(cell)} has the number format {look}, the others {sorted(looks)[0]}"))
    if all(grid.is_formula(each) for each in others):
        evidence.append(shape(f"{a1(cell)} is a typed number, all others are formulas"))
    if not evidence:
        return []
    text = _own_label(facts, total, cell)
    role = _role(text)
    if role in _NO_MONEY and all(_role(_own_label(facts, total, each)) is not role for each in others):
        evidence.append(label(f'{a1(cell)} is labelled "{text}"'))
        return evidence
    return evidence if not text and len(evidence) == 2 else []


def _own_label(facts: Foreign, total: Total, cell: Address) -> str:
    found = facts.labels.of(cell)
    return found.beside if total.down else found.above


def _role(text: str) -> Role | None:
    return role_of_text(text) if text else None


def _finding(facts: Foreign, total: Total, cell: Address, rest: tuple[int, int], evidence: list[Evidence]) -> Finding:
    formula = facts.grid.book.formulas[total.cell]
    mended = with_range(formula, total.span, total.stretched(*rest))
    return told(
        CHECK,
        total.cell,
        f"={formula.removeprefix('=')}, which counts {a1(cell)} = {shown(facts.grid.value(cell))}",
        f"={mended}",
        "Shorten the range to the lines that belong together.",
        *evidence,
        put_right={total.cell: Formula(mended)} if mended != formula.removeprefix("=") else None,
    )
