"""A typed figure is out of line with its column by a telling factor.

What it finds
    One figure in a column of like figures that is 10, 60, 100 or 1000 times the usual, or that fraction of it.

Why it costs money
    8.5 in place of 85 per hour, or minutes typed among hours.

Faulty
    rates 82, 78, 8.5, 90, 85, 80

Sound
    rates 82, 78, 85, 90, 85, 80

How to mend
    Compare it with the paper that it came from.

False alarms
    Very large and very small parts in one list. Six figures are needed and the others must lie close together.

Source
    Catalogue row F32 and V31; trade experience.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from statistics import median

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import label, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "factor-outlier", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F32", "V5", "V1")
)

_FACTORS = (10.0, 25.4, 60.0, 100.0, 1000.0)
_FEWEST = 5
#: The others must lie within this factor of their middle.
_CLOSE = 3.5


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each figure that is out of line by a telling factor."""
    facts = foreign(view)
    for sheet, columns in facts.grid.columns.items():
        for column, rows in columns.items():
            for block in _blocks(facts, sheet, column, rows):
                yield from _outliers(facts, block)


def _blocks(facts: Foreign, sheet: str, column: int, rows: tuple[int, ...]) -> Iterator[list[Address]]:
    """Yield stretches of typed positive numbers of one look, without gaps."""
    block: list[Address] = []
    for row in rows:
        cell = Address(sheet, row, column)
        number = facts.grid.number(cell)
        fits = facts.grid.is_constant_number(cell) and number is not None and number > 0
        follows = bool(block) and block[-1].row == row - 1
        if fits and (not block or (follows and _look(facts, cell) == _look(facts, block[0]))):
            block.append(cell)
            continue
        if len(block) > _FEWEST:
            yield block
        block = [cell] if fits else []
    if len(block) > _FEWEST:
        yield block


def _look(facts: Foreign, cell: Address) -> str:
    return facts.grid.style(cell).number_format


def _outliers(facts: Foreign, block: list[Address]) -> Iterator[Finding]:
    numbers = {cell: facts.grid.number(cell) or 1.0 for cell in block}
    for cell, number in numbers.items():
        others = [other for each, other in numbers.items() if each != cell]
        middle = median(others)
        if any(max(other / middle, middle / other) > _CLOSE for other in others):
            continue
        ratio = number / middle
        for factor in _FACTORS:
            away = abs(math.log(ratio if ratio > 1 else 1 / ratio) - math.log(factor))
            if away < math.log(1.6) and max(ratio, 1 / ratio) > 2 * _CLOSE:
                put = number / factor if ratio > 1 else number * factor
                yield told(
                    CHECK,
                    cell,
                    shown(number),
                    f"about {shown(middle)}",
                    "Compare it with the paper that it came from.",
                    value(
                        f"the other {len(others)} figures lie around {shown(middle)}, this one is {factor:g} times off"
                    ),
                    label(f'under "{facts.labels.of(cell).above}"'),
                    put_right={cell: put},
                )
                break
