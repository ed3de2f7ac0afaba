"""A figure is buried in a formula.

What it finds
    Numbers written in formulas that are rates, prices or shares rather than conversions; told more strongly where an
    input cell holds the same figure.

Why it costs money
    The rate is raised in its cell and the formula keeps the old one.

Faulty
    B10 (shop rate) is 90 and the formula is =B8*90

Sound
    =B8*B10

How to mend
    Point the formula to the cell that holds the figure, or give the figure a labelled cell.

False alarms
    Conversions and geometry (60, 25.4, 1000, pi/4) are known and left alone; densities and the like may be meant.

Source
    Catalogue row F15; "nothing that may change is buried in a formula" is among published principles of good practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.figures import Figure, buried
from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.roles import roles_of
from quotebook.audit.telling import label, on, shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import with_part, written
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "buried-figure", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F15",)
)

#: Conversions that may as well be an input's figure (a quantity, an hour) copied into a formula.
_COUNTS = frozenset({3.0, 4.0, 7.0, 10.0, 12.0, 24.0, 52.0, 0.5, 0.25, 0.01})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula with a figure of its own."""
    facts = foreign(view)
    homes = _homes(view)
    for figure in buried(facts.grid):
        home = _home(facts, figure, homes)
        if home is not None:
            yield _with_home(facts, figure, home)
        elif not figure.common:
            yield _without_home(facts, figure)


def _homes(view: BookView) -> dict[float, list[Address]]:
    """Return the typed figures that stand for something, by value."""
    facts, roles = foreign(view), roles_of(view)
    found: dict[float, list[Address]] = {}
    for cell, number in view.book.inputs.items():
        if isinstance(number, float) and (str(facts.labels.of(cell)) or roles.of(cell)):
            found.setdefault(number, []).append(cell)
    return found


def _home(facts: Foreign, figure: Figure, homes: dict[float, list[Address]]) -> Address | None:
    """Return the input cell that a figure was copied from, if one can be told."""
    cells = [cell for cell in homes.get(figure.number, []) if not _reads(facts, figure.cell, cell)]
    if not cells:
        return None
    unread = [cell for cell in cells if not facts.grid.users.get(cell)]
    if figure.common:
        if figure.number not in _COUNTS:
            return None
        return unread[0] if len(unread) == 1 and unread[0].sheet == figure.cell.sheet else None
    rows = [cell for cell in cells if cell.sheet == figure.cell.sheet and figure.cell.row == cell.row]
    best = rows or unread or cells
    return best[0] if len(best) == 1 or len(cells) <= 3 else None


def _reads(facts: Foreign, cell: Address, home: Address) -> bool:
    return any(use.span.holds(home) for use in facts.grid.uses.get(cell, ()))


def _with_home(facts: Foreign, figure: Figure, home: Address) -> Finding:
    grid, cell = facts.grid, figure.cell
    sheet = None if home.sheet == cell.sheet else home.sheet
    fixed = home.row != cell.row
    pointer = s.Reference(sheet, home.row, home.column, home.row, home.column, (fixed,) * 4, "cell")
    mended = written(with_part(grid.trees[cell], s.Number(figure.number), pointer))
    read = bool(grid.users.get(home))
    evidence = [
        shape(f"{shown(figure.number)} is written in the formula"),
        value(f'{on(home, cell.sheet)} ("{facts.labels.of(home)}") holds the same figure'),
    ]
    if not read:
        evidence.append(label(f"no formula reads {on(home, cell.sheet)}"))
    return told(
        CHECK,
        cell,
        grid.formula(cell),
        f"={mended}",
        f"Point the formula to {a1(home)}.",
        *evidence,
        put_right={cell: Formula(mended)},
        alike=f"{figure.number}",
    )


def _without_home(facts: Foreign, figure: Figure) -> Finding:
    return told(
        CHECK,
        figure.cell,
        facts.grid.formula(figure.cell),
        f"a labelled cell for {shown(figure.number)}",
        "Give the figure a labelled cell of its own and point the formula to it.",
        shape(f"{shown(figure.number)} is written in the formula"),
        severity=Severity.REMARK,
        alike=f"{figure.number}",
    )
