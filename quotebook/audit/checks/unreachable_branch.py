"""A branch of an IF can never be taken, or both branches say the same.

What it finds
    Nested steps in the wrong order, so that a later one is never reached, and IFs whose branches are equal.

Why it costs money
    The discount for 500 pieces is never given, or the surcharge for 5 never asked.

Faulty
    =IF(B4>=10,0.02,IF(B4>=100,0.05,0))

Sound
    =IF(B4>=100,0.05,IF(B4>=10,0.02,0))

How to mend
    Put the steps in order, the narrowest test first, or look the step up in a table.

False alarms
    None known for plain tests of one cell against numbers; other tests are not judged.

Source
    Catalogue rows F52 and F53.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import walk
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.audit.written import written
from quotebook.engine import syntax as s

CHECK = Check(
    "unreachable-branch",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT,),
    When.WRONG_NOW,
    Kind.REASONING,
    rows=("F52", "F53"),
)

_MIRROR = {"<": ">", ">": "<", "<=": ">=", ">=": "<=", "=": "="}


class _Test(NamedTuple):
    what: s.Node
    operator: str
    number: float


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula with a branch that is never taken."""
    grid = foreign(view).grid
    for cell, tree in grid.trees.items():
        for node in walk(tree):
            if not isinstance(node, s.Call) or node.name != "IF" or len(node.arguments) != 3:
                continue
            reason = _same(node) or _never(node)
            if reason:
                yield told(
                    CHECK,
                    cell,
                    grid.formula(cell),
                    "branches that can all be taken and that differ",
                    "Put the tests in order, the narrowest first, or look the step up in a table.",
                    fact(reason),
                    alike=reason,
                )
                break


def _same(node: s.Call) -> str:
    if node.arguments[1] == node.arguments[2]:
        return f"both branches say {written(node.arguments[1])}"
    return ""


def _never(node: s.Call) -> str:
    first = _test(node.arguments[0])
    inner = node.arguments[2]
    while first is not None and isinstance(inner, s.Call) and inner.name == "IF" and len(inner.arguments) >= 2:
        second = _test(inner.arguments[0])
        if second is not None and second.what == first.what and _within(second, first):
            return f"{written(inner.arguments[0])} is never asked, for {written(node.arguments[0])} comes before it"
        inner = inner.arguments[2] if len(inner.arguments) > 2 else s.Missing()
    return ""


def _test(node: s.Node) -> _Test | None:
    if not isinstance(node, s.Binary) or node.operator not in _MIRROR:
        return None
    if isinstance(node.right, s.Number):
        return _Test(node.left, node.operator, node.right.value)
    if isinstance(node.left, s.Number):
        return _Test(node.right, _MIRROR[node.operator], node.left.value)
    return None


def _within(inner: _Test, outer: _Test) -> bool:
    """Tell whether every number that passes the inner test passes the outer one."""
    if outer.operator in (">", ">="):
        if inner.operator not in (">", ">=", "="):
            return False
        return inner.number > outer.number or (
            inner.number == outer.number and (outer.operator == ">=" or inner.operator == ">")
        )
    if outer.operator in ("<", "<="):
        if inner.operator not in ("<", "<=", "="):
            return False
        return inner.number < outer.number or (
            inner.number == outer.number and (outer.operator == "<=" or inner.operator == "<")
        )
    return outer.operator == inner.operator and inner.number == outer.number
