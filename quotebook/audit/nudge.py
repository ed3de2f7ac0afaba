"""Nudging: change one input, run the workbook's own formulas, and look how the prices answer.

It judges behaviour and not looks, so that it also finds what comparing formulas cannot: a cost that is subtracted, an
input that nothing listens to, a set-up that is spread over the wrong quantity.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from quotebook.audit.view import BookView
from quotebook.clock import tick
from quotebook.engine.book import Status
from quotebook.values import Address, Value

#: An input is raised by this share of itself. Small enough to stay on its side of most steps, large enough to show.
STEP = 0.01
#: From so many inputs times formulas on, inputs are raised as cases of one run; below, loading that costs more.
FEWEST_TOGETHER = 20_000
#: So many inputs are raised in one pass over the formulas.
TOGETHER = 256
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
    raised: dict[Address, tuple[float, float]] = {}
    for cell in cells:
        if cell in book.formulas or cell in book.opaque:
            continue
        now = book.inputs.get(cell)
        if now is not None and not isinstance(now, float):
            continue
        added = abs(now) * step if now else 1.0
        raised[cell] = added, (now or 0.0) + added
    before = tuple(view.number(price) for price in prices)
    # Blanks stay blank while others are raised, and an array of cases holds numbers only: they go one by one.
    numbers = {cell: new for cell, (_, new) in raised.items() if book.inputs.get(cell) is not None}
    after: dict[Address, tuple[float | None, ...]] = {}
    if len(numbers) * len(view.program.cells) >= FEWEST_TOGETHER:
        after = _together(view, numbers, prices)
    for cell, (_, new) in raised.items():
        if cell not in after:
            after[cell] = _prices(view, {cell: new}, prices)
    return {cell: Response(cell, added, before, after[cell]) for cell, (added, _) in raised.items()}


def _together(
    view: BookView, raised: Mapping[Address, float], prices: Sequence[Address]
) -> dict[Address, tuple[float | None, ...]]:
    """Return the prices for each input raised alone, computed as cases of one run; to the last bit as one by one."""
    from quotebook.engine.many.run import run_cases  # it loads numpy, which small workbooks do not need

    program, inputs = view.program, view.book.inputs
    cells = list(raised)
    varied: dict[Address, list[float]] = {}
    for number, cell in enumerate(cells):
        now = inputs[cell]
        assert isinstance(now, float), "only numbers are raised together"
        varied[cell] = [now] * len(cells)
        varied[cell][number] = raised[cell]
    wanted = [price for price in prices if price in program.slots]
    found = run_cases(program, inputs, varied, wanted, now=view.now, chunk=TOGETHER).answers
    after: dict[Address, tuple[float | None, ...]] = {}
    for number, cell in enumerate(cells):
        results: list[float | None] = []
        for price in prices:
            if price in found:
                result = found[price].value(number)
                value = result.value if result.status is Status.EVALUATED else None
            else:
                value = raised[cell] if price == cell else inputs.get(price)
            results.append(value if isinstance(value, float) else None)
        after[cell] = tuple(results)
    return after


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
