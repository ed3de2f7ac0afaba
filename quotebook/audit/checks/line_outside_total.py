"""A line of cost stands outside every total.

What it finds
    An amount below the total or at the end of the block, filled in like the lines above it, that no formula reads.

Why it costs money
    Somebody added an operation or a purchase and it never reached the price.

Faulty
    E5:E9 amounts | E10 =SUM(E5:E9) | E11 "Laser marking" 85

Sound
    E5:E10 amounts, marking among them | E11 =SUM(E5:E10)

How to mend
    Move the line into the block, inside the range of the total.

False alarms
    Memo lines ("last year's price"). Only lines that look like the counted ones, or labelled as cost, are told.

Source
    Catalogue rows F5, S8 and S22 without a contract; trade experience: the last-minute line typed under the total.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.figures import buried
from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.roles import Role, role_of_text
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.totals import Total, Totals, totals_of
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "line-outside-total",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT,),
    When.WRONG_NOW,
    Kind.LEFT_OUT,
    rows=("F5", "S8", "S22"),
)

#: How far below a block a forgotten line may stand.
_FARTHEST = 6
_MEMO = ("memo", "last", "previous", "old", "target", "budget", "note", "check", "per ", "each", "for info", "ref")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each amount near a block that is read by nothing."""
    facts, totals = foreign(view), totals_of(view)
    told_of: set[Address] = set()
    for total in sorted(totals.all, key=lambda each: -each.ends[1]):
        _, last = total.ends
        for place in range(last + 1, last + 1 + _FARTHEST):
            cell = total.at(place)
            if cell in told_of or facts.grid.number(cell) is None or facts.grid.users.get(cell):
                continue
            if (
                cell == total.cell
                or (view.price_cells and cell == view.price_cells[0].address)
                or facts.grid.number(cell) in _written(view)
            ):
                continue
            evidence = _like_a_line(facts, totals, total, cell)
            if evidence:
                told_of.add(cell)
                yield _finding(facts, total, cell, evidence)


def _written(view: BookView) -> frozenset[float]:
    """Return the figures written in formulas: a line whose figure is among them counts all the same."""
    return view.shared(_figures)


def _figures(view: BookView) -> frozenset[float]:
    return frozenset(figure.number for figure in buried(foreign(view).grid))


def _like_a_line(facts: Foreign, totals: Totals, total: Total, cell: Address) -> list[Evidence]:
    grid = facts.grid
    counted = [each for each in total.span.cells() if grid.number(each) is not None]
    if not counted or totals.is_sum(cell):
        return []
    form = grid.forms.get(cell)
    if form is not None:
        like = [each for each in counted if grid.forms.get(each) == form]
        if not like:
            return []
        return [
            shape(f"the same formula as {a1(like[0])}, which is counted in {a1(total.cell)}; nothing reads this one"),
            value(f"it comes to {shown(grid.value(cell))}"),
        ]
    text = facts.labels.of(cell).beside if total.down else facts.labels.of(cell).above
    if not text or any(word in text.casefold() for word in _MEMO) or not total.down:
        return []
    looks = {grid.style(each).number_format for each in counted}
    if grid.style(cell).number_format not in looks and grid.style(cell).number_format != "General":
        return []
    if "%" in grid.style(cell).number_format:
        return []
    evidence = [shape(f"a figure under the block that {a1(total.cell)} adds up; nothing reads it")]
    beside = facts.labels.of(counted[-1]).beside
    same_label_column = _label_column(facts, cell, text) == _label_column(facts, counted[-1], beside)
    if role_of_text(text) in (Role.COST, None, Role.SETUP, Role.TIME) and same_label_column:
        evidence.append(label(f'it is labelled "{text}" as the counted lines are labelled'))
    return evidence


def _label_column(facts: Foreign, cell: Address, text: str) -> int:
    for column in range(cell.column - 1, 0, -1):
        if facts.labels.text(cell._replace(column=column)) == text:
            return column
    return 0


def _finding(facts: Foreign, total: Total, cell: Address, evidence: list[Evidence]) -> Finding:
    formula = facts.grid.book.formulas[total.cell].removeprefix("=")
    return told(
        CHECK,
        cell,
        f"{shown(facts.grid.value(cell))}, read by nothing",
        f"a line within {total.span}, which {a1(total.cell)} adds up",
        "Move the line into the block, inside the range of the total.",
        *evidence,
        put_right={total.cell: Formula(f"({formula})+{on_sheet(cell, total.cell)}")},
        explained_by=[total.cell],
    )


def on_sheet(cell: Address, here: Address) -> str:
    """Return how a formula in ``here`` writes a reference to a cell."""
    title = cell.sheet.replace("'", "''")
    return a1(cell) if cell.sheet == here.sheet else f"'{title}'!{a1(cell)}"
