"""A total leaves out a line of its own block.

What it finds
    A sum whose range ends before the figures do: a first or last line, or a line added below, is not counted.

Why it costs money
    The line is on the quote, its cost is not in the price.

Faulty
    E5:E9 hold amounts, the total is =SUM(E5:E8)

Sound
    E5:E9 hold amounts, the total is =SUM(E5:E9)

How to mend
    Stretch the range over all lines of the block; insert new lines inside the range, not below it.

False alarms
    Figures that stand beside a block without belonging to it. They are told apart by label, number format and formula;
    a line that another total counts is no alarm.

Source
    Catalogue rows F5 and S8 without a contract; a short range is among the operators of published fault seeding (CRS).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.totals import Total, Totals, totals_of, with_range
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "short-total", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F5", "F8", "S8")
)

#: How many lines may be missing at one end for it to be a slip.
_MOST_MISSING = 3


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each total that stops short."""
    facts, totals = foreign(view), totals_of(view)
    for total in totals.all:
        yield from _at_ends(facts, totals, total)


def _at_ends(facts: Foreign, totals: Totals, total: Total) -> Iterator[Finding]:
    first, last = total.ends
    before = _missing(facts, totals, total, first, -1)
    behind = _missing(facts, totals, total, last, 1)
    missing = before + behind
    if not missing:
        return
    places = [cell.row if total.down else cell.column for cell, _ in missing]
    wanted = total.stretched(min(first, *places), max(last, *places))
    formula = facts.grid.book.formulas[total.cell]
    mended = with_range(formula, total.span, wanted)
    evidence = [shape(f"{a1(cell)} adjoins the range {total.span} and is not in it") for cell, _ in missing[:2]]
    for _, why in missing:
        evidence += [each for each in why if each not in evidence]
    sister = _longer_sister(totals, total, wanted)
    if sister is not None:
        evidence.append(label(f"the total beside it, {a1(sister.cell)}, covers {sister.span}"))
    put_right = {total.cell: Formula(mended)} if mended != formula.removeprefix("=") else None
    figures = ", ".join(f"{a1(cell)} = {shown(facts.grid.value(cell))}" for cell, _ in missing)
    yield told(
        CHECK,
        total.cell,
        f"={formula.removeprefix('=')} without {figures}",
        f"={mended}",
        "Stretch the range of the total over all lines of the block.",
        *evidence[:5],
        put_right=put_right,
    )


def _missing(
    facts: Foreign, totals: Totals, total: Total, end: int, step: int
) -> list[tuple[Address, tuple[Evidence, ...]]]:
    """Return the cells beyond one end that belong to the block, nearest first, with the reasons."""
    grid = facts.grid
    found: list[tuple[Address, tuple[Evidence, ...]]] = []
    place, blanks = end + step, 0
    while place > 0 and len(found) <= _MOST_MISSING:
        cell = total.at(place)
        if cell == total.cell or total.cell in grid.users.get(cell, ()):
            break
        if grid.is_blank(cell):
            blanks += 1
            if blanks > 1 or not _towards(total, place, step):
                break
        elif grid.number(cell) is None:
            break
        else:
            why = _belongs(facts, totals, total, cell, end)
            if not why:
                break
            found.append((cell, why))
        place += step
    return found if len(found) <= _MOST_MISSING else []


def _towards(total: Total, place: int, step: int) -> bool:
    """Tell whether the place lies between the range and the cell of the total on the same line."""
    own = total.cell.row if total.down else total.cell.column
    same = (total.cell.column if total.down else total.cell.row) == total.line
    return same and total.cell.sheet == total.span.sheet and (own - place) * step > 0


def _belongs(facts: Foreign, totals: Totals, total: Total, cell: Address, end: int) -> tuple[Evidence, ...]:
    """Return why a cell beyond the end is one more line of the block; nothing if it is not."""
    grid, edge = facts.grid, total.at(end)
    if grid.is_blank(edge) or grid.number(edge) is None:
        edge = next((c for c in reversed(list(total.span.cells())) if grid.number(c) is not None), edge)
    unread = not grid.users.get(cell)
    if totals.is_sum(cell) and not totals.is_sum(edge) and not unread:
        return ()
    if _of_another_block(facts, totals, total, cell):
        return ()
    others = [other for other in totals.covering.get(cell, ()) if other.down == total.down]
    if any(edge not in set(other.span.cells()) for other in others):
        return ()
    if not unread and any(total.span.holds(each) for use in grid.uses.get(cell, ()) for each in grid.filled(use.span)):
        return ()  # worked out from the block, such as a share of it
    if cell in grid.forms and grid.forms[cell] == grid.forms.get(edge):
        return (value(f"{a1(cell)} holds the same formula as the lines that are counted"),)
    reasons: list[Evidence] = []
    if unread and grid.is_formula(cell):
        reasons.append(value(f"no formula reads {a1(cell)}"))
    if others:
        reasons.append(label(f"{a1(others[0].cell)} counts it together with the others"))
    if grid.is_formula(cell) != grid.is_formula(edge) and not (unread or reasons or _all_kinds(facts, total)):
        return () if _sister_over(totals, total, cell) is None else _named(facts, total, cell, edge)
    return (*reasons, *_named(facts, total, cell, edge)) if _named(facts, total, cell, edge) else ()


def _of_another_block(facts: Foreign, totals: Totals, total: Total, cell: Address) -> bool:
    """Tell whether a cell holds the formula of lines that another total adds up, and not that of this one's."""
    form = facts.grid.forms.get(cell)
    if form is None or any(facts.grid.forms.get(each) == form for each in total.span.cells()):
        return False
    for other in totals.all:
        same_line = other.span.sheet == cell.sheet and other.down == total.down and other.line == total.line
        if same_line and other.span != total.span and any(facts.grid.forms.get(c) == form for c in other.span.cells()):
            return True
    return False


def _named(facts: Foreign, total: Total, cell: Address, edge: Address) -> tuple[Evidence, ...]:
    grid = facts.grid
    looks = {grid.style(cell).number_format, grid.style(edge).number_format}
    same_look = len(looks) == 1 or (not grid.users.get(cell) and not any("%" in look for look in looks))
    named, named_edge = facts.labels.of(cell), facts.labels.of(edge)
    text = named.beside if total.down else named.above
    edge_text = named_edge.beside if total.down else named_edge.above
    if not same_look or not text or not edge_text or text == edge_text:
        return ()
    return (label(f'{a1(cell)} is labelled "{text}" and looks like "{edge_text}" beside it, which is counted'),)


def _all_kinds(facts: Foreign, total: Total) -> bool:
    """Tell whether the block itself mixes typed figures and formulas."""
    kinds = {facts.grid.is_formula(c) for c in total.span.cells() if facts.grid.number(c) is not None}
    return len(kinds) == 2


def _sister_over(totals: Totals, total: Total, cell: Address) -> Total | None:
    """Return a total in the same row (or column) whose range takes in the line of a cell."""
    place = cell.row if total.down else cell.column
    for other in totals.all:
        beside = other.cell.row == total.cell.row if total.down else other.cell.column == total.cell.column
        first, last = other.ends
        like = other.down == total.down and other.line != total.line and other.span.sheet == cell.sheet
        if beside and like and first <= place <= last and first <= total.ends[1] and total.ends[0] <= last:
            return other
    return None


def _longer_sister(totals: Totals, total: Total, wanted: object) -> Total | None:
    """Return a total beside this one whose range has the ends that this one should have."""
    for other in totals.all:
        if other.down == total.down and other.line != total.line and other.span.sheet == total.span.sheet:
            first, last = other.ends
            if total.stretched(first, last) == wanted:
                return other
    return None
