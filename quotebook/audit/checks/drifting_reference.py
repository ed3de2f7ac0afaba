"""A reference to one shared cell moves along with the rows: its $ is missing.

What it finds
    A filled-down formula whose reference to a single rate, quantity or percentage walks off that cell, one step a row.

Why it costs money
    Only the first line uses the rate; the others use whatever stands below it: blanks, texts, other figures.

Faulty
    B2 is the rate: =C5*B2 | =C6*B3 | =C7*B4

Sound
    =C5*$B$2 | =C6*$B$2 | =C7*$B$2

How to mend
    Put $ before row and column of the shared cell and fill the formula down again.

False alarms
    Formulas that read another row on purpose, such as the line before. Where every cell that is read holds a figure
    of the same kind, nothing is said.

Source
    Catalogue row F29; a lost anchor is among the classic faults of filled formulas.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Mended, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Use, a1, shown
from quotebook.audit.runs import Run
from quotebook.audit.telling import label, on, shape, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address, column_letters

CHECK = Check(
    "drifting-reference",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT,),
    When.WRONG_NOW,
    Kind.POINTING,
    rows=("F29", "F10", "F30"),
)


class _Walk(NamedTuple):
    """One reference of a run, and the cells that it reads from the first formula to the last."""

    use: Use
    cells: tuple[Address, ...]


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each run with a reference that walks off its cell."""
    facts = foreign(view)
    for run in facts.runs.all:
        for walk in _walks(facts, run):
            anchor, evidence = _anchor(view, facts, run, walk)
            if anchor is not None:
                yield _finding(facts, run, walk, anchor, evidence)


def _walks(facts: Foreign, run: Run) -> Iterator[_Walk]:
    """Yield the single-cell references that step along with the run but read another line than their own."""
    first = run.cells[0]
    for use in facts.grid.uses.get(first, ()):
        if use.span.size > 1 or use.name or use.node.form != "cell":
            continue
        down = run.direction == "down"
        if use.node.fixed[0 if down else 1]:
            continue
        place, own = (use.span.top, first.row) if down else (use.span.left, first.column)
        start = next(use.span.cells())
        if place == own and not _mostly_nothing(facts, run, start):
            continue
        yield _Walk(use, tuple(_moved(start, run, cell) for cell in run.cells))


def _mostly_nothing(facts: Foreign, run: Run, start: Address) -> bool:
    """Tell whether, of the cells read line by line, hardly one but the first holds a figure.

    Reading its own line is what a formula should do; a single blank there is an input left blank.
    """
    read = [_moved(start, run, cell) for cell in run.cells[1:]]
    empty = sum(facts.grid.number(cell) is None for cell in read)
    return empty > 1 and empty * 2 >= len(read) and facts.grid.number(read[0]) is None


def _moved(start: Address, run: Run, cell: Address) -> Address:
    first = run.cells[0]
    return start._replace(row=start.row + cell.row - first.row, column=start.column + cell.column - first.column)


def _anchor(view: BookView, facts: Foreign, run: Run, walk: _Walk) -> tuple[Address | None, list[Evidence]]:
    """Return the cell that all formulas should read, and why; None where the walk makes sense."""
    grid = facts.grid
    numbers = [cell for cell in walk.cells if grid.number(cell) is not None]
    own = set(run.cells)
    if any(cell in own for cell in walk.cells):
        return None, []  # the line before, as in a running total
    anchor = walk.cells[0]
    if grid.number(anchor) is None:
        return None, []
    empty = [cell for cell in walk.cells[1:] if grid.number(cell) is None]
    if empty:
        kind = "blank" if grid.is_blank(empty[0]) else shown(grid.value(empty[0]))
        evidence = [
            shape(f"the reference steps from {on(anchor, run.sheet)} to {on(walk.cells[-1], run.sheet)}"),
            value(f"{on(empty[0], run.sheet)} is {kind}; {len(empty)} of {len(walk.cells)} cells read hold no figure"),
        ]
        return anchor, evidence
    if len(numbers) < 3 or _in_block(facts, run, walk):
        return None, []
    looks = {grid.style(cell).number_format for cell in walk.cells}
    if len(looks) < 2 and len({facts.units.said(cell) for cell in walk.cells}) < 2 and not _other_roles(view, walk):
        return None, []
    named = [str(facts.labels.of(cell).beside or facts.labels.of(cell).above) for cell in walk.cells[:2]]
    return anchor, [
        shape(f"the reference steps from {on(anchor, run.sheet)} to {on(walk.cells[-1], run.sheet)}"),
        label(f'it reads figures of different kinds: "{named[0]}", then "{named[1]}"'),
    ]


def _other_roles(view: BookView, walk: _Walk) -> bool:
    from quotebook.audit.roles import roles_of

    return len({roles_of(view).of(cell) for cell in walk.cells}) > 2


def _in_block(facts: Foreign, run: Run, walk: _Walk) -> bool:
    """Tell whether the cells read are themselves a run or a column of figures under one heading."""
    runs = facts.runs.of.get(walk.cells[0], ())
    if any(set(walk.cells) <= set(each.cells) for each in runs):
        return True
    headings = {facts.labels.of(cell).above for cell in walk.cells}
    kinds = {facts.grid.is_formula(cell) for cell in walk.cells}
    return len(headings) == 1 and "" not in headings and len(kinds) == 1


def _finding(facts: Foreign, run: Run, walk: _Walk, anchor: Address, evidence: list[Evidence]) -> Finding:
    fixed = f"${column_letters(anchor.column)}${anchor.row}"
    put_right: dict[Address, Mended] = {}
    for cell, read in zip(run.cells, walk.cells, strict=True):
        text = facts.grid.book.formulas[cell].removeprefix("=")
        put_right[cell] = Formula(_replaced(text, read, fixed))
    example = run.cells[1]
    return told(
        CHECK,
        run.span,
        f"={facts.grid.book.formulas[example].removeprefix('=')} in {a1(example)}",
        f"={_example(put_right[example])} in {a1(example)}",
        f"Write {fixed} in the first formula and fill it along again.",
        *evidence,
        put_right=put_right,
    )


def _example(mended: Mended) -> str:
    return mended.text if isinstance(mended, Formula) else str(mended)


def _replaced(formula: str, cell: Address, fixed: str) -> str:
    import re

    pattern = rf"(?<![\w.$!:])\$?{column_letters(cell.column)}\$?{cell.row}(?![\w.:(])"
    if re.search(pattern, formula, re.IGNORECASE) is None:
        pattern = rf"(?<=!)\$?{column_letters(cell.column)}\$?{cell.row}(?![\w.:(])"
    return re.sub(pattern, lambda _: fixed, formula, count=1, flags=re.IGNORECASE)
