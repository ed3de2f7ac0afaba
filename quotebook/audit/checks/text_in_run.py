"""A text stands in a run of like formulas.

What it finds
    A note such as "TBA" or "see mail" where the cells around it hold one and the same formula.

Why it costs money
    Sums skip text without a word: the line is in the quote and not in the price.

Faulty
    =B5*C5 | =B6*C6 | TBA | =B8*C8

Sound
    =B5*C5 | =B6*C6 | =B7*C7 | =B8*C8

How to mend
    Copy the formula back and put the note beside it.

False alarms
    "n/a", "included" and dashes are taken as a line left out on purpose.

Source
    Catalogue row F4; common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import shape, told
from quotebook.audit.view import BookView

CHECK = Check("text-in-run", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F4",))

_ON_PURPOSE = frozenset({"n/a", "na", "-", "--", "---", "none", "incl", "incl.", "included", "no", "nil", "x"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each text in a run."""
    facts = foreign(view)
    for odd in facts.runs.odd:
        text = facts.grid.text(odd.cell)
        if not text or facts.grid.is_formula(odd.cell) or not odd.flanked or text.casefold() in _ON_PURPOSE:
            continue
        yield told(
            CHECK,
            odd.cell,
            shown(text),
            f"={odd.expected}",
            "Copy the formula back and put the note in a cell of its own.",
            shape(f"{len(odd.run.places)} like formulas in {odd.run.span} go on at both sides"),
            put_right={odd.cell: Formula(odd.expected)},
        )
