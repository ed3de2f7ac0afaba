"""Nudging: one input is changed at a time, and the file's own formulas say how the price responds.

It judges behaviour, so it also finds faults that comparing formulas with their neighbours cannot: a cost that is left
out, subtracted, or spread over the wrong quantity.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from quotebook.audit.view import BookView
from quotebook.engine.book import FormulaBook
from quotebook.engine.compile import compile_book
from quotebook.engine.program import Program
from quotebook.values import Address, Value

#: Every input is made larger by this share, large enough to get over steps of rounding.
NUDGE = 0.1
#: Inputs of one workbook that are nudged at most.
MOST_INPUTS = 400


@dataclass(frozen=True, slots=True)
class Response:
    """What the watched cells say before and after one input was nudged; None where there is no number."""

    cell: Address
    was: float
    nudged: float
    before: tuple[float | None, ...]
    after: tuple[float | None, ...]

    @property
    def changes(self) -> tuple[float | None, ...]:
        """Return by how much each watched cell moved; None where a number is missing on either side."""
        pairs = zip(self.before, self.after, strict=True)
        return tuple(None if one is None or other is None else other - one for one, other in pairs)

    @property
    def moves(self) -> bool:
        """Tell whether any watched cell moved or became known or unknown."""
        pairs = zip(self.before, self.after, strict=True)
        return any(not _same(one, other) for one, other in pairs)


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= 1e-9 * max(1.0, abs(one), abs(other))


class Nudger:
    """Nudges inputs of one workbook and watches some cells; only formulas on their way are computed."""

    def __init__(self, view: BookView, watched: Sequence[Address]) -> None:
        self._view = view
        self._watched = tuple(watched)
        self._path = view.links.ancestors(self._watched)
        self._program = self._compiled()
        self._inputs: dict[Address, Value] = {
            cell: value for cell, value in view.book.inputs.items() if cell in self._path
        }
        self.before = self._run(self._inputs)

    def _compiled(self) -> Program:
        book = self._view.book
        part: FormulaBook = replace(
            book,
            formulas={cell: text for cell, text in book.formulas.items() if cell in self._path},
            inputs={},
            arrays={cell: last for cell, last in book.arrays.items() if cell in self._path},
            opaque={cell: reason for cell, reason in book.opaque.items() if cell in self._path},
        )
        return compile_book(part)

    def _run(self, inputs: Mapping[Address, Value]) -> tuple[float | None, ...]:
        values, _ = self._program.values(inputs, now=self._view.now)
        slots, unknown = self._program.slots, self._unknown
        found = [values[slots[cell]] if cell in slots and cell not in unknown else None for cell in self._watched]
        return tuple(value if isinstance(value, float) else None for value in found)

    @property
    def _unknown(self) -> set[Address]:
        return {cell for cell in self._watched if not self._view.known(cell)}

    @property
    def inputs(self) -> list[Address]:
        """Return the numbers typed on the way to the watched cells, in the order of the file."""
        return [cell for cell, value in self._inputs.items() if isinstance(value, float)]

    def nudged(self, cell: Address, amount: float | None = None) -> Response | None:
        """Return the response to one input; by a tenth of itself, or 1 for an input of 0. None if it is no number."""
        was = self._view.book.inputs.get(cell)
        if not isinstance(was, float):
            return None
        new = was + (amount if amount is not None else was * NUDGE if was else 1.0)
        if cell not in self._inputs:
            return Response(cell, was, new, self.before, self.before)
        return Response(cell, was, new, self.before, self._run({**self._inputs, cell: new}))

    def all(self, cells: Iterable[Address] | None = None) -> Iterator[Response]:
        """Yield the responses to the given inputs, or to all on the way (at most ``MOST_INPUTS``)."""
        for cell in list(self.inputs if cells is None else cells)[:MOST_INPUTS]:
            response = self.nudged(cell)
            if response is not None:
                yield response


def price_nudger(view: BookView) -> Nudger:
    """Return the nudger of a workbook's price cells; made once (``view.shared(price_nudger)``)."""
    return Nudger(view, [cell.address for cell in view.price_cells])
