"""A reference that should move along with the rows is held fast by a $.

What it finds
    A filled-down formula in which every line reads the first line's figure, although each line has its own.

Why it costs money
    All operations are costed with the hours of the first.

Faulty
    =$C$5*D5 | =$C$5*D6 | =$C$5*D7, with figures in C5, C6 and C7

Sound
    =C5*D5 | =C6*D6 | =C7*D7

How to mend
    Take the $ away and fill the formula along again.

False alarms
    Shares of the first line ("index, first year = 100") hold one line fast on purpose.

Source
    Catalogue rows F29 and F37; a stuck anchor is the counterpart of a lost one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Mended, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Use, a1
from quotebook.audit.runs import Run
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address, column_letters

CHECK = Check(
    "stuck-reference",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT,),
    When.WRONG_NOW,
    Kind.POINTING,
    rows=("F29", "F30", "F37"),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each run with a reference held fast inside its own block."""
    facts = foreign(view)
    for run in facts.runs.all:
        for use in facts.grid.uses.get(run.cells[0], ()):
            if use.span.size == 1 and not use.name and use.node.form == "cell":
                evidence = _stuck(facts, run, use)
                if evidence:
                    yield _finding(facts, run, use, evidence)


def _own(run: Run, held: Address, cell: Address) -> Address:
    """Return the figure of a formula's own line that corresponds to the one held fast."""
    return held._replace(row=cell.row) if run.direction == "down" else held._replace(column=cell.column)


def _stuck(facts: Foreign, run: Run, use: Use) -> list[Evidence]:
    grid, held = facts.grid, next(use.span.cells())
    down = run.direction == "down"
    if not use.node.fixed[0 if down else 1] or held.sheet != run.sheet:
        return []
    place, places = (held.row, run.places) if down else (held.column, run.places)
    if not places[0] <= place <= places[-1] or held in run.cells:
        return []
    own = [_own(run, held, cell) for cell in run.cells]
    filled = [cell for cell in own if not grid.is_blank(cell)]
    if grid.is_blank(held) or len(filled) < 2 or len({type(grid.value(cell)) for cell in filled}) > 1:
        return []  # spare lines at the end of a block may be blank
    if len({grid.style(cell).number_format for cell in filled}) > 1 or _reads_own(facts, run, held):
        return []
    others = [cell for cell in filled if cell != held]
    if not others:
        return []
    heading = facts.labels.of(held).above if down else facts.labels.of(held).beside
    evidence = [
        shape(f"{len(run.places)} formulas read {a1(held)}, each line has its own figure in {a1(own[0])}:{a1(own[-1])}")
    ]
    read = [cell for cell in others if grid.users.get(cell)]
    if not read:
        evidence.append(value(f"no formula reads {a1(others[0])} and the like"))
    if heading:
        evidence.append(label(f'all stand under "{heading}"'))
    return evidence


def _reads_own(facts: Foreign, run: Run, held: Address) -> bool:
    """Tell whether the formulas read their own line's figure as well: a comparison with one line is meant."""
    last = run.cells[-1] if run.cells[-1] != held else run.cells[0]
    return any(use.span.holds(_own(run, held, last)) for use in facts.grid.uses.get(last, ()))


def _finding(facts: Foreign, run: Run, use: Use, evidence: list[Evidence]) -> Finding:
    held = next(use.span.cells())
    put_right: dict[Address, Mended] = {}
    for cell in run.cells:
        own = _own(run, held, cell)
        text = facts.grid.book.formulas[cell].removeprefix("=")
        pattern = rf"(?<![\w.!:])\$?{column_letters(held.column)}\$?{held.row}(?![\w.:(])"
        moved = re.sub(pattern, lambda _, own=own: a1(own), text, count=1, flags=re.IGNORECASE)  # type: ignore[misc]
        put_right[cell] = Formula(moved)
    example = run.cells[-1]
    mended = put_right[example]
    assert isinstance(mended, Formula), "made above"
    return told(
        CHECK,
        run.span,
        f"={facts.grid.book.formulas[example].removeprefix('=')} in {a1(example)}",
        f"={mended.text} in {a1(example)}",
        "Take the $ away in the first formula and fill it along again.",
        *evidence,
        put_right=put_right,
    )
