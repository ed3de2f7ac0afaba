"""Two cells with one label calculate from the same inputs and give two answers.

What it finds
    Pairs of formulas with the same label, and no two different headings, that depend on exactly the same typed cells
    and differ by more than a cent.

Why it costs money
    One of the two prices is wrong, and which one is sent depends on who looks where.

Faulty
    Total price 1,250.00 on sheet Quote, Total price 1,410.00 on sheet Summary, from the same inputs

Sound
    the summary repeats the quote's cell

How to mend
    Keep one calculation, and let the other cell refer to it.

False alarms
    Draft and final, with and without tax, under one label: give them labels that say so.

Source
    Catalogue row F47.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.roles import Role, role_of_text
from quotebook.audit.telling import label, on, shape, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "two-answers",
    Severity.LOOK_AT_IT,
    (Need.NO_CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.REASONING,
    rows=("F47",),
)
CENT = 0.01


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each second answer."""
    facts = foreign(view)
    alike: dict[str, list[Address]] = {}
    for cell in sorted(facts.grid.trees):
        named = facts.labels.of(cell)
        if facts.grid.number(cell) and role_of_text(named.beside) in (Role.PRICE, Role.COST):
            alike.setdefault(named.beside.strip().casefold(), []).append(cell)
    for beside, cells in alike.items():
        for one, other in pairwise(cells):
            numbers = facts.grid.number(one) or 0.0, facts.grid.number(other) or 0.0
            headings = {facts.labels.of(cell).above.strip().casefold() for cell in (one, other)} - {""}
            if len(headings) > 1 or abs(numbers[0] - numbers[1]) <= CENT or not _same_inputs(view, one, other):
                continue
            yield told(
                CHECK, other, shown(numbers[1]), f"{shown(numbers[0])}, as in {on(one, other.sheet)}",
                "Keep one calculation, and let the other cell refer to it.",
                label(f'both are labelled "{beside}"'), shape("both depend on the same typed cells"),
            )  # fmt: skip


def _same_inputs(view: BookView, one: Address, other: Address) -> bool:
    """Tell whether two formulas depend on the same typed cells, and neither on the other."""
    behind = [view.links.ancestors([cell]) for cell in (one, other)]
    if one in behind[1] or other in behind[0]:
        return False
    typed = [{cell for cell in cells if cell not in view.book.formulas} for cells in behind]
    return bool(typed[0]) and typed[0] == typed[1]
