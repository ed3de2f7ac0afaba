"""A percentage is a hundred times too large or too small.

What it finds
    15 where 15% (0.15) is meant, 0.15 where the formula divides by 100, and shares so small that they show as 0%.

Why it costs money
    A markup of 0.15% in place of 15% gives the work away; 1500% loses the order.

Faulty
    Markup 15 (shown 1500%), price =cost*(1+markup)

Sound
    Markup 0.15 (shown 15%)

How to mend
    Type the figure with its percent sign.

False alarms
    Real markups of 200 % and more; factors such as 1.35, left alone where the label says factor or multiplier.

Source
    Catalogue row F33; trade experience.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Grid, a1, shown
from quotebook.audit.roles import SHARES, Role, roles_of
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import Part, parts
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "percent-slip", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F33",)
)

_FACTOR = re.compile(r"factor|multipl|\btimes\b|\bx\b")
#: The largest markup that is believed, and the largest of the other shares.
_MOST_MARKUP = 2.0
_MOST_SHARE = 1.0
#: Below this a share in use is hardly meant: a quarter of a percent.
_LEAST = 0.0025
_LEAST_MARKUP = 0.005


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each typed share of an unlikely size."""
    facts, roles = foreign(view), roles_of(view)
    for cell, number in view.book.inputs.items():
        if not isinstance(number, float) or number == 0 or not facts.grid.users.get(cell):
            continue
        role = roles.of(cell)
        if role not in SHARES or _FACTOR.search(facts.labels.of(cell).words):
            continue
        percent_format = "%" in facts.grid.style(cell).number_format
        how = _how_used(facts.grid, cell)
        judged = _judge(number, role, percent_format, how)
        if judged is not None:
            expected, evidence, severity = judged
            named = str(facts.labels.of(cell))
            yield told(
                CHECK,
                cell,
                f"{shown(number)} ({number * 100:.10g}%)" if percent_format else shown(number),
                shown(expected),
                "Type the figure with its percent sign, or as the formula wants it.",
                label(f'labelled "{named}"'),
                *evidence,
                severity=severity,
                put_right={cell: expected},
            )


def _judge(
    number: float, role: Role | None, percent_format: bool, how: str
) -> tuple[float, tuple[Evidence, ...], Severity] | None:
    most = _MOST_MARKUP if role is Role.MARKUP else _MOST_SHARE
    used = (shape(how),) if how else ()
    grave, mild = CHECK.severity, Severity.LOOK_AT_IT
    if "100" in how:
        if percent_format and abs(number) <= 1:
            return number * 100, (*used, value("a cell in percent is divided by 100 once more")), grave
        if 0 < abs(number) < 0.5:
            return number * 100, (*used, value("the formula wants whole percents")), grave
        return None
    if percent_format and number == 1 and how.startswith("a factor") and role not in (Role.MARKUP, Role.MARGIN):
        return None  # all of it, as of an attended machine
    if percent_format and abs(number) >= 1:
        large = abs(number) > most or (role is not Role.MARKUP and abs(number) >= 1)
        return number / 100, (*used, value(f"it counts as {number * 100:.10g}%")), grave if large else mild
    if not percent_format and how.startswith("1") and abs(number) > most:
        return number / 100, (*used, value(f"it counts as {number * 100:.10g}%")), grave
    strong = role in (Role.MARKUP, Role.MARGIN)
    if abs(number) <= (_LEAST_MARKUP if strong else _LEAST) and (percent_format or how.startswith("1")):
        return number * 100, (*used, value(f"it counts as {number * 100:.10g}%")), grave if strong else mild
    return None


def _how_used(grid: Grid, cell: Address) -> str:
    """Return how formulas take the figure: "1 plus ..." , "... divided by 100", "a factor", or ""."""
    found = ""
    for user in sorted(grid.users.get(cell, ())):
        for part in parts(grid.trees[user]):
            if isinstance(part.node, s.Reference | s.NameRef) and _is(grid, part.node, user, cell):
                how = _around(part)
                if how:
                    text = f"{how} in {a1(user)}: {grid.formula(user)}"
                    if "100" in how or how.startswith("1"):
                        return text
                    found = found or text
    return found


def _is(grid: Grid, node: s.Node, user: Address, cell: Address) -> bool:
    uses = list(grid.uses_in(node, user))
    return len(uses) == 1 and uses[0].span.size == 1 and uses[0].span.holds(cell)


def _around(part: Part) -> str:
    over = part.around[-1] if part.around else None
    if isinstance(over, s.Unary) and over.operator == "%":
        return "divided by 100 (percent sign)"
    if isinstance(over, s.Binary):
        other = over.right if over.left is part.node else over.left
        if over.operator == "/" and over.left is part.node and other == s.Number(100.0):
            return "divided by 100"
        if over.operator in "+-" and other == s.Number(1.0):
            return "1 plus or minus the figure"
        if over.operator == "*":
            return "a factor"
    if isinstance(over, s.Chain) and s.Number(1.0) in over.terms and set(over.operators) <= {"+", "-"}:
        return "1 plus or minus the figure"
    return ""
