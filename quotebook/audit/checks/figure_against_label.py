"""A formula uses another figure than its label says.

What it finds
    A percentage in a label, such as "Overhead 15%", beside a formula that multiplies by 0.12.

Why it costs money
    The customer or the boss reads one percentage, the price is made with another.

Faulty
    "Overhead 15%" =SUM(G5:G9)*0.12

Sound
    "Overhead 15%" =SUM(G5:G9)*0.15

How to mend
    Put the percentage in a cell, read it in the formula, and keep figures out of labels.

False alarms
    A label whose percentage belongs to something else in the line.

Source
    Catalogue row F17.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.figures import buried
from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import label, shape, told
from quotebook.audit.view import BookView
from quotebook.audit.written import with_part, written
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "figure-against-label", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F17",)
)

_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*%")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula whose percentage is not that of its label."""
    facts = foreign(view)
    figures: dict[Address, list[float]] = {}
    for figure in buried(facts.grid):
        figures.setdefault(figure.cell, []).append(figure.number)
    for cell, numbers in figures.items():
        match = _PERCENT.search(facts.labels.of(cell).beside)
        if match is None:
            continue
        said = float(match[1].replace(",", ".")) / 100
        shares = [number for number in numbers if 0 < number < 1 or 1 < number < 2]
        if len(shares) != 1 or any(_same(number, said) for number in numbers):
            continue
        wanted = 1 + said if shares[0] > 1 else said
        mended = written(with_part(facts.grid.trees[cell], s.Number(shares[0]), s.Number(wanted)))
        yield told(
            CHECK,
            cell,
            facts.grid.formula(cell),
            f"={mended}",
            "Put the percentage in a cell and read it in the formula.",
            label(f'the label says "{facts.labels.of(cell).beside}"'),
            shape(f"the formula has {shown(shares[0])}"),
            put_right={cell: Formula(mended)},
        )


def _same(number: float, said: float) -> bool:
    return any(abs(number - each) < 1e-9 for each in (said, said * 100, 1 + said, 1 - said))
