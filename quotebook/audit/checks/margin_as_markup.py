"""A margin is used as a markup, or a markup as a margin.

What it finds
    A share labelled "margin" that is added to the cost, and one labelled "markup" that the cost is divided by.

Why it costs money
    30 % margin means cost/0.7, which is 43 % on the cost; cost*1.3 leaves only 23 % margin.

Faulty
    "Margin" 30%, price =cost*(1+margin)

Sound
    "Margin" 30%, price =cost/(1-margin)

How to mend
    Settle which of the two is meant and make label and formula agree.

False alarms
    Shops that call their markup "margin"; then the label misleads whoever quotes next.

Source
    Catalogue row F34; margin is a share of the price, markup a share of the cost: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Grid, a1
from quotebook.audit.roles import Role, role_of_text
from quotebook.audit.telling import label, shape, told
from quotebook.audit.view import BookView
from quotebook.audit.written import parts, with_part, written
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "margin-as-markup", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.REASONING, rows=("F34",)
)

_ONE = s.Number(1.0)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula that takes a share for what its label says it is not."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        for part in parts(tree):
            if isinstance(part.node, s.Binary) and part.node.operator in "*/":
                finding = _judge(facts, cell, tree, part.node)
                if finding is not None:
                    yield finding
                    break


def _judge(facts: Foreign, cell: Address, tree: s.Node, node: s.Binary) -> Finding | None:
    for cost, share in ((node.left, node.right), (node.right, node.left)):
        if node.operator == "/" and share is node.left:
            continue
        if not isinstance(share, s.Binary) or share.left != _ONE or share.operator not in "+-":
            continue
        place = _cell(facts.grid, cell, share.right)
        role = _role(facts, place) if place is not None else None
        if role is Role.MARGIN and node.operator == "*" and share.operator == "+":
            other: s.Node = s.Binary("/", cost, s.Binary("-", _ONE, share.right))
        elif role is Role.MARKUP and node.operator == "/" and share.operator == "-":
            other = s.Binary("*", cost, s.Binary("+", _ONE, share.right))
        else:
            continue
        assert place is not None, "only a cell has a role"
        mended = written(with_part(tree, node, other))
        return told(
            CHECK,
            cell,
            facts.grid.formula(cell),
            f"={mended}",
            "Settle which of the two is meant and make label and formula agree.",
            label(f'{a1(place)} is labelled "{facts.labels.of(place)}"'),
            shape("the formula takes it as a share of the " + ("cost" if node.operator == "*" else "price")),
            put_right={cell: Formula(mended)},
            alike="share",
        )
    return None


def _cell(grid: Grid, cell: Address, node: s.Node) -> Address | None:
    if not isinstance(node, s.Reference | s.NameRef):
        return None
    uses = list(grid.uses_in(node, cell))
    return next(uses[0].span.cells()) if len(uses) == 1 and uses[0].span.size == 1 else None


def _role(facts: Foreign, place: Address) -> Role | None:
    named = facts.labels.of(place)
    role = role_of_text(named.beside) or role_of_text(named.above)
    if role is Role.MARKUP and "markup" not in named.words.replace("-", "").replace(" ", ""):
        return None  # "profit" and "overhead" say neither
    return role
