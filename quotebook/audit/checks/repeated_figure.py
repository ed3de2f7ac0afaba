"""The same figure is written in several different formulas.

What it finds
    A number other than the usual conversions that stands in three or more unlike formulas.

Why it costs money
    It has no home: when it changes, one of the places is forgotten.

Faulty
    =E5*1.15, =G9*1.15+F9 and =SUM(H5:H8)*1.15

Sound
    a cell "Overhead factor" with 1.15, read by all three

How to mend
    Give the figure one labelled cell and point the formulas to it.

False alarms
    Figures of geometry, such as a half or a third.

Source
    Catalogue row F16; "calculate once, refer back" is among published principles of good practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.figures import buried
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import on, shape, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "repeated-figure", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F16",)
)

_FEWEST = 3


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each figure in several unlike formulas, at the first of them."""
    grid = foreign(view).grid
    places: dict[float, dict[str, Address]] = {}
    for figure in buried(grid):
        if not figure.common and not figure.compared:
            places.setdefault(figure.number, {}).setdefault(grid.forms[figure.cell], figure.cell)
    for number, forms in places.items():
        if len(forms) >= _FEWEST:
            cells = sorted(forms.values())
            where = ", ".join(on(cell, cells[0].sheet) for cell in cells[:6])
            yield told(
                CHECK,
                cells[0],
                f"{shown(number)} in {len(cells)} unlike formulas",
                "one labelled cell that holds it",
                "Give the figure one labelled cell and point the formulas to it.",
                shape(f"it is written in {where}"),
            )
