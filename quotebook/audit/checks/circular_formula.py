"""A formula needs its own result.

What it finds
    Formulas that lead back to themselves, directly (a total inside its own range) or by way of others.

Why it costs money
    The spreadsheet program shows 0 or the result of some earlier round; the price has no sound value.

Faulty
    E10 is =SUM(E5:E10)

Sound
    E10 is =SUM(E5:E9)

How to mend
    Shorten the range, or work the share out from the figures that stand before it: markup on price m is cost*m/(1-m).

False alarms
    Loops that are meant and solved by iteration; they are hard to check and are told of all the same.

Source
    Catalogue row F21.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Formula, Kind, Mended, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.telling import fact, shape, told
from quotebook.audit.totals import Total, totals_of, with_range
from quotebook.audit.view import BookView
from quotebook.engine.book import Status
from quotebook.values import Address

CHECK = Check("circular-formula", Severity.DO_NOT_QUOTE, ANY, When.WRONG_NOW, Kind.POINTING, rows=("F21", "F7"))

_LOOP = re.compile(r"circular reference: (.*)")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each loop, at the cell where it is closed."""
    facts = foreign(view)
    loops: dict[frozenset[str], list[Address]] = {}
    for cell, result in view.evaluation.results.items():
        match = _LOOP.match(result.reason) if result.status is Status.NOT_EVALUATED else None
        if match is not None:
            loops.setdefault(frozenset(match[1].split(" -> ")), []).append(cell)
    told_of: set[str] = set()
    for names, cells in sorted(loops.items(), key=lambda one: len(one[0])):
        if names & told_of:
            continue
        told_of |= names
        yield _finding(view, facts, names, cells)


def _finding(view: BookView, facts: Foreign, names: frozenset[str], cells: list[Address]) -> Finding:
    place = _closing(view, cells)
    path = view.evaluation.results[place].reason.removeprefix("circular reference: ")
    iterate = view.snapshot.calculation.iterate
    mended = _mended(view, place)
    put_right: dict[Address, Mended] = {place: Formula(mended)} if mended else {}
    return told(
        CHECK,
        place,
        f"{facts.grid.formula(place)}, which leads back to itself: {path}",
        f"={mended}" if mended else "a formula that does not need its own result",
        "Shorten the range or point the formula to the figures before it.",
        fact(f"{len(names)} cell(s) need each other"),
        *([shape("the workbook is set to iterate, so that the program does not complain")] if iterate else []),
        put_right=put_right,
    )


def _own_totals(view: BookView, cell: Address) -> list[Total]:
    return [total for total in totals_of(view).all if total.cell == cell and total.span.holds(cell)]


def _closing(view: BookView, cells: list[Address]) -> Address:
    """Return the cell of a loop that is likely at fault: a total in its own range, else the one furthest down."""
    own = [cell for cell in cells if _own_totals(view, cell)]
    return own[0] if own else max(cells)


def _mended(view: BookView, cell: Address) -> str:
    for total in _own_totals(view, cell):
        first, last = total.ends
        place = cell.row if total.down else cell.column
        ends = (first, place - 1) if place - first >= last - place else (place + 1, last)
        if ends[0] <= ends[1]:
            return with_range(view.book.formulas[cell], total.span, total.stretched(*ends))
    return ""
