"""A figure is rounded before it is multiplied on.

What it finds
    ROUND, ROUNDUP, ROUNDDOWN and INT in formulas whose results are multiplied further on the way to the price.

Why it costs money
    A rounding of half a cent on a piece is 50 on ten thousand pieces.

Faulty
    =ROUND(D7,1)*quantity, with D7 = 2.349

Sound
    =ROUND(D7*quantity,2)

How to mend
    Round once, at the price that is printed.

False alarms
    Prices each that are agreed with two decimals are rounded first on purpose and only told of below that.

Source
    Catalogue row F39.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import with_part, written
from quotebook.engine import syntax as s

CHECK = Check(
    "rounded-on-the-way",
    Severity.LOOK_AT_IT,
    (Need.NO_CONTRACT, Need.PRICE),
    When.WRONG_NOW,
    Kind.REASONING,
    rows=("F39",),
)

_ROUNDING = frozenset({"ROUND", "ROUNDUP", "ROUNDDOWN", "INT", "TRUNC"})
#: Told of when the price moves by more than this share.
_MATTERS = 0.002


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each rounding on the way that moves the price."""
    grid = foreign(view).grid
    prices = {price.address for price in view.price_cells}
    for cell in sorted(view.price_path & grid.trees.keys()):
        tree = grid.trees[cell]
        if cell in prices or not isinstance(tree, s.Call) or tree.name not in _ROUNDING or not tree.arguments:
            continue
        mended = written(with_part(tree, tree, tree.arguments[0]))
        effect = view.price_effect({cell: Formula(mended)})
        if effect is None or not view.price or abs(effect) <= _MATTERS * abs(view.price):
            continue
        yield told(
            CHECK,
            cell,
            f"{grid.formula(cell)}, which is calculated with further on",
            f"={mended}",
            "Round once, at the price that is printed.",
            shape("the rounded figure is not a price"),
            value(f"without rounding here the price moves by {shown(effect)}"),
            put_right={cell: Formula(mended)},
            alike=tree.name,
        )
