"""A cost lowers the price, or a discount raises it.

What it finds
    Inputs that move the price the wrong way when they are raised a little in the workbook's own formulas.

Why it costs money
    A plus that became a minus takes the cost off twice: it is not charged, and it is given away.

Faulty
    cost =labour+material-plating

Sound
    cost =labour+material+plating

How to mend
    Look at the formula that is named: there the figure turns against its own cost.

False alarms
    Scrap credits and rebates, which should lower the price; they are known by their labels.

Source
    Catalogue row F36; our own idea: judge a price by how it answers, not by how its formulas look.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.answers import Answer, answers
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.nudge import nudge
from quotebook.audit.roles import Role
from quotebook.audit.telling import effect, label, on, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "sign-slip",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT, Need.PRICE),
    When.WRONG_NOW,
    Kind.REASONING,
    rows=("F36",),
)

_UPWARD = frozenset({Role.RATE, Role.TIME, Role.SETUP, Role.COST, Role.MARKUP, Role.MARGIN, Role.WEIGHT})
_CREDIT = re.compile(
    r"credit|rebate|refund|deposit|paid|minus|\bless\b|deduct|allowance|saving|recover|efficien|yield|discount|removed"
    r"|finished|net weight|machined away|per hour out|available|capacity|shift|normal|regular"
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula at which figures turn against their cost."""
    told_of: set[Address] = set()
    for answer in answers(view):
        wrong = _wrong(answer)
        if not wrong:
            continue
        root = _root(view, answer)
        if root is None or root in told_of:
            continue
        told_of.add(root)
        facts = foreign(view)
        named = str(facts.labels.of(answer.cell))
        yield told(
            CHECK,
            root,
            facts.grid.formula(root),
            f"a formula in which {wrong}",
            "Look at the signs and operators of this formula.",
            effect(f"raising {on(answer.cell, root.sheet)} by {shown(answer.response.step)} lowers the price here"),
            label(f'{on(answer.cell, root.sheet)} is labelled "{named}"'),
            alike=f"{root}",
        )


def _wrong(answer: Answer) -> str:
    if answer.response.sign >= 0 or answer.role not in _UPWARD or _CREDIT.search(answer.words):
        return ""
    return f"more {answer.role.value} makes a higher price"


def _root(view: BookView, answer: Answer) -> Address | None:
    """Return the first formula from the input on whose result falls when the input rises."""
    links = view.links
    reached = links.descendants([answer.cell]) & view.price_path
    formulas = sorted(cell for cell in reached if cell in view.book.formulas)
    response = nudge(view, [answer.cell], formulas).get(answer.cell)
    if response is None:
        return None
    moves = dict(zip(formulas, response.moves, strict=True))
    falling = [cell for cell, move in moves.items() if move is not None and move < 0]
    first = [cell for cell in falling if not any((moves.get(p) or 0.0) < 0 for p in links.precedents(cell))]
    return first[0] if first else None
