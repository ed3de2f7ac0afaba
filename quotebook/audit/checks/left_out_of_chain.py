"""A chain of added cells leaves out one of like cells beside each other.

What it finds
    Formulas such as =E5+E6+E8 that skip a labelled figure of the same kind, which nothing reads.

Why it costs money
    The line that was left out is done and not paid.

Faulty
    =E5+E6+E8, with an amount in E7

Sound
    =E5+E6+E7+E8

How to mend
    Add the cell that is missing, or use SUM over the whole block.

False alarms
    A figure that is for information only; it counts only if no formula reads it.

Source
    Catalogue row F9; a dropped term is an operator of published fault seeding (NRS).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.telling import label, shape, told
from quotebook.audit.view import BookView
from quotebook.engine import syntax as s

CHECK = Check(
    "left-out-of-chain", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, rows=("F9",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each chain with a gap."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        if not isinstance(tree, s.Chain | s.Binary) or _other_signs(tree):
            continue
        terms = tree.terms if isinstance(tree, s.Chain) else (tree.left, tree.right)
        if not all(isinstance(term, s.Reference) and term.form == "cell" for term in terms):
            continue
        used = [next(use.span.cells()) for use in facts.grid.uses[cell]]
        columns, rows = {each.column for each in used}, sorted(each.row for each in used)
        if len(columns) != 1 or len({each.sheet for each in used}) != 1 or rows[-1] - rows[0] > 3 * len(rows):
            continue
        for row in range(max(1, rows[0] - 1), rows[-1] + 2):
            place = used[0]._replace(row=row)
            if place in used or place == cell or not facts.grid.number(place) or facts.grid.users.get(place):
                continue
            named = facts.labels.of(place).beside
            if not named or facts.grid.style(place).number_format != facts.grid.style(used[0]).number_format:
                continue
            formula = facts.grid.book.formulas[cell].removeprefix("=")
            yield told(
                CHECK,
                cell,
                f"={formula} without {a1(place)} = {shown(facts.grid.value(place))}",
                f"={formula}+{a1(place)}",
                "Add the cell that is missing, or use SUM over the whole block.",
                shape(f"{a1(place)} stands among the cells that are added and nothing reads it"),
                label(f'it is labelled "{named}"'),
                put_right={cell: Formula(f"{formula}+{a1(place)}")},
            )
            break


def _other_signs(tree: s.Chain | s.Binary) -> bool:
    operators = tree.operators if isinstance(tree, s.Chain) else (tree.operator,)
    return set(operators) != {"+"}
