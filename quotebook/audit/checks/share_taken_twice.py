"""A markup or discount is taken twice on the way to the price.

What it finds
    One share that multiplies a figure which it has already multiplied before.

Why it costs money
    15 % becomes 32 %: the order is lost, or the discount is given twice.

Faulty
    E20 =E19*(1+B4) and E22 =SUM(E20:E21)*(1+B4)

Sound
    the share is taken once, at the end

How to mend
    Take the share out of one of the two formulas.

False alarms
    A scrap or learning allowance that compounds on purpose.

Source
    Catalogue row F35.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1
from quotebook.audit.roles import Role, roles_of
from quotebook.audit.telling import label, on, shape, told
from quotebook.audit.view import BookView
from quotebook.audit.written import factors
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "share-taken-twice", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.REASONING, rows=("F35",)
)

_TAKEN = frozenset({Role.MARKUP, Role.MARGIN, Role.DISCOUNT})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula that takes a share of what already holds it."""
    facts, roles = foreign(view), roles_of(view)
    for share, number in view.book.inputs.items():
        if not isinstance(number, float) or not number or roles.of(share) not in _TAKEN:
            continue
        takers = [cell for cell in sorted(facts.grid.users.get(share, ())) if _grows(facts, cell, share)]
        for taker in takers:
            before = _base_holds(facts, taker, share, takers)
            if before is not None:
                yield _finding(facts, share, taker, before)
                break


def _grows(facts: Foreign, cell: Address, share: Address) -> bool:
    """Tell whether a formula multiplies something by 1 plus or minus the share (or divides by 1 less it)."""
    return any(_holds(facts, cell, node, share) for _, node in factors(facts.grid.trees[cell]) if _one_and(node))


def _one_and(node: s.Node) -> bool:
    if isinstance(node, s.Binary):
        return node.operator in "+-" and s.Number(1.0) in (node.left, node.right)
    return isinstance(node, s.Chain) and s.Number(1.0) in node.terms


def _holds(facts: Foreign, cell: Address, node: s.Node, share: Address) -> bool:
    return any(use.span.holds(share) for use in facts.grid.uses_in(node, cell))


def _base_holds(facts: Foreign, taker: Address, share: Address, takers: list[Address]) -> Address | None:
    """Return an earlier taker of the same share that the figure multiplied here rests on."""
    for _, node in factors(facts.grid.trees[taker]):
        if _holds(facts, taker, node, share):
            continue
        base = [cell for use in facts.grid.uses_in(node, taker) for cell in facts.grid.filled(use.span)]
        upstream = facts.grid.upstream(base)
        for other in takers:
            if other != taker and other in upstream:
                return other
    return None


def _finding(facts: Foreign, share: Address, taker: Address, before: Address) -> Finding:
    return told(
        CHECK,
        taker,
        f"{facts.grid.formula(taker)}, after {on(before, taker.sheet)} {facts.grid.formula(before)}",
        f"{a1(share)} taken once",
        "Take the share out of one of the two formulas.",
        shape(f"{on(before, taker.sheet)} is part of what is multiplied here"),
        label(f'{on(share, taker.sheet)} is labelled "{facts.labels.of(share)}"'),
        alike="share",
    )
