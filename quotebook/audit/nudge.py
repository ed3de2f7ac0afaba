"""Nudging: change one input, run the workbook's own formulas, and look how the prices answer.

It judges behaviour and not looks, so that it also finds what comparing formulas cannot: a cost that is subtracted, an
input that nothing listens to, a set-up that is spread over the wrong quantity.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from quotebook.audit.clock import tick
from quotebook.audit.view import BookView
from quotebook.values import Address, Value

#: An input is raised by this share of itself. Small enough to stay on its side of most steps, large enough to show.
STEP = 0.01
#: Prices that move by less than this share did not move.
STILL = 1e-9


class Response(NamedTuple):
    """How the prices answer when one input is raised.

    ``before`` and ``after``: the prices in the order asked for, None where one is no number. ``step``: what was added.
    """

    cell: Address
    step: float
    before: tuple[float | None, ...]
    after: tuple[float | None, ...]

    @property
    def moves(self) -> tuple[float | None, ...]:
        """Return how far each price moved; 0.0 for not at all, None where that is not known."""
        return tuple(_move(a, b) for a, b in zip(self.before, self.after, strict=True))

    @property
    def known(self) -> bool:
        """Tell whether every price is known before and after."""
        return None not in self.before and None not in self.after

    @property
    def moved(self) -> bool:
        """Tell whether any price moved."""
        return any(self.moves)

    @property
    def sign(self) -> int:
        """Return 1 when the prices that move all rise, -1 when they all fall, 0 when they do both or neither."""
        signs = {1 if move > 0 else -1 for move in self.moves if move}
        return signs.pop() if len(signs) == 1 else 0

    def slope(self, price: int = 0) -> float | None:
        """Return the change of one price for each unit of the input, None where unknown."""
        move = self.moves[price]
        return None if move is None else move / self.step


def _move(before: float | None, after: float | None) -> float | None:
    if before is None or after is None:
        return None
    return after - before if abs(after - before) > STILL * max(1.0, abs(before)) else 0.0


def nudge(
    view: BookView, cells: Iterable[Address], prices: Sequence[Address], *, step: float = STEP
) -> dict[Address, Response]:
    """Raise each input by a share of itself (a blank or 0 by 1) and return how the prices answer.

    Shape:  n cells with typed numbers or blanks, m prices -> n responses of m prices each; other cells are left out.
    Units:  prices as in the workbook.
    """
    book = view.book
    before = _prices(view, {}, prices)
    found: dict[Address, Response] = {}
    for cell in cells:
        if cell in book.formulas or cell in book.opaque:
            continue
        now = book.inputs.get(cell)
        if now is not None and not isinstance(now, float):
            continue
        added = abs(now) * step if now else 1.0
        after = _prices(view, {cell: (now or 0.0) + added}, prices)
        found[cell] = Response(cell, added, before, after)
    return found


def prices_with(view: BookView, changes: Mapping[Address, Value], prices: Sequence[Address]) -> list[float | None]:
    """Return the prices with some inputs changed; None where one is no number or could not be computed."""
    return list(_prices(view, changes, prices))


def _prices(view: BookView, changes: Mapping[Address, Value], prices: Sequence[Address]) -> tuple[float | None, ...]:
    tick()
    program = view.program
    inputs = {**view.book.inputs, **changes} if changes else view.book.inputs
    values, troubles = program.values(inputs, now=view.now)
    unknown = {cell for number in [*program.fixed, *troubles] for cell in program.cells[number]}
    if troubles:
        unknown |= {cell for number in program.network.reached(troubles) for cell in program.cells[number]}
    found: list[float | None] = []
    for price in prices:
        slot = program.slots.get(price)
        value = values[slot] if slot is not None else inputs.get(price)
        known = price not in unknown and isinstance(value, int | float) and not isinstance(value, bool)
        found.append(float(value) if known and isinstance(value, int | float) else None)
    return tuple(found)
