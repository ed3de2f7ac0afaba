"""A formula is too long to be checked by eye.

What it finds
    More than nine operations with more than six references, or IFs nested more than three deep.

Why it costs money
    Nobody finds the fault in it, neither the one who wrote it nor the one who checks.

Faulty
    =IF(a,IF(b,IF(c,IF(d,1,2),3),4),5)

Sound
    the steps in cells of their own, with labels

How to mend
    Split it into labelled steps, or use a table.

False alarms
    Formulas that a program wrote.

Source
    Catalogue row F45; limits from published formula smells, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import shape, told
from quotebook.audit.view import BookView
from quotebook.audit.written import parts
from quotebook.engine import syntax as s

CHECK = Check("long-formula", Severity.REMARK, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F45",))

_OPERATIONS, _REFERENCES, _NESTED = 9, 6, 3


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula of that kind, runs folded."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        every = list(parts(tree))
        operations = sum(isinstance(part.node, s.Binary) for part in every)
        operations += sum(len(part.node.operators) for part in every if isinstance(part.node, s.Chain))
        references = sum(isinstance(part.node, s.Reference | s.NameRef) for part in every)
        nested = max((_depth(part.around) for part in every), default=0)
        if (operations > _OPERATIONS and references > _REFERENCES) or nested > _NESTED:
            yield told(
                CHECK,
                cell,
                f"{operations} operations, {references} references, IF {nested} deep",
                "steps in cells of their own",
                "Split it into labelled steps, or use a table.",
                shape(f"{len(facts.grid.formula(cell))} characters"),
                alike=facts.grid.forms[cell],
            )


def _depth(around: tuple[s.Node, ...]) -> int:
    return sum(isinstance(over, s.Call) and over.name == "IF" for over in around)
