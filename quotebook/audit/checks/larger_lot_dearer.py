"""A larger quantity has a higher price each, or a lower total.

What it finds
    Price breaks along a row or column whose unit prices rise, or whose totals fall, as quantities rise.

Why it costs money
    The customer orders the cheaper break and the shop loses on it, or asks how the table was made.

Faulty
    10: 48.00, 25: 41.00, 50: 43.50

Sound
    10: 48.00, 25: 41.00, 50: 37.20

How to mend
    Compare the formulas of the columns; one of them reads another quantity or rate.

False alarms
    Steps such as an extra material pack may raise a price each by a little.

Source
    Catalogue row V6; trade sense.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Grid, a1, shown
from quotebook.audit.telling import label, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "larger-lot-dearer",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT, Need.PRICE),
    When.WRONG_NOW,
    Kind.REASONING,
    rows=("V6", "V34"),
)

_EACH = re.compile(r"(unit|each|piece|part)\s*price|price\s*(each|per|/|ea\b)|\beach\b|per (piece|part)")
_FEWEST = 3
#: A rounding of the price may lift it by this share.
_ROUNDING = 1.002


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each row or column of price breaks that is out of order."""
    facts = foreign(view)
    lines: dict[tuple[str, int, bool], list[Address]] = {}
    for price in view.price_cells:
        if _EACH.search(facts.labels.of(price.address).words):
            lines.setdefault((price.address.sheet, price.address.row, True), []).append(price.address)
    for cells in lines.values():
        pairs = [(quantity, cell) for cell in sorted(cells) if (quantity := _quantity(facts.grid, cell, cells))]
        if len(pairs) < _FEWEST or len(pairs) != len(cells):
            continue
        pairs.sort()
        for (few, first), (many, second) in pairwise(pairs):
            before, after = facts.grid.number(first), facts.grid.number(second)
            if few < many and before is not None and after is not None and after > before * _ROUNDING > 0:
                yield told(
                    CHECK,
                    second,
                    f"{shown(after)} each for {shown(many)}",
                    f"no more than the {shown(before)} each for {shown(few)} in {a1(first)}",
                    "Compare the formulas of the columns; one reads another quantity or rate.",
                    value(f"{shown(few)} pieces cost {shown(before)} each, {shown(many)} cost {shown(after)}"),
                    label(f'labelled "{facts.labels.of(second)}"'),
                    explained_by=view.links.ancestors([first, second]),
                )
                break


def _quantity(grid: Grid, cell: Address, cells: list[Address]) -> float | None:
    """Return the quantity over a price: the topmost row whose whole figures rise along the prices."""
    for row in range(1, cell.row):
        heads = [grid.number(each._replace(row=row)) for each in sorted(cells)]
        if all(head is not None and head > 0 for head in heads):
            numbers = [head for head in heads if head is not None]
            if all(a < b for a, b in pairwise(numbers)) and all(n == int(n) for n in numbers):
                return grid.number(cell._replace(row=row))
    return None
