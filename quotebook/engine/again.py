"""Running a program again: only what stands behind a changed input is computed anew.

Workbooks of one template differ in some of their inputs, and most of their formulas then say what they said before. A
formula whose cells hold exactly what they held in the run before gives the same result, so it is not asked again; one
that changes with the day is always asked. Programs that read ranges openly are run in full.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from quotebook.engine.book import Result
from quotebook.engine.link import Call
from quotebook.engine.plan import Plan
from quotebook.values import Address, Value


@dataclass(slots=True)
class Run:
    """One run: the list of values as it was left, and the formulas that could not be computed, with reasons.

    ``results``: as they were told, once they were asked for. ``redone``: the formulas computed in this run, None: all.
    """

    values: list[Value]
    troubles: dict[int, str] = field(default_factory=dict)
    redone: list[int] | None = None
    results: Mapping[Address, Result] | None = None


class Dependants:
    """Which steps read a place, which step is always due, and which places no step fills."""

    def __init__(self, plan: Plan, steps: Sequence[tuple[int, int, Call, tuple[int, ...]]]) -> None:
        self.readers: dict[int, list[int]] = {}
        self.filled: list[tuple[int, ...]] = []
        self.order: dict[int, int] = {}
        always: list[int] = []
        outputs: set[int] = set()
        for index, (number, place, _, places) in enumerate(steps):
            spread = plan.spreads.get(number)
            filled = (place,) if spread is None else tuple(spread.slots)
            self.filled.append(filled)
            outputs.update(filled)
            read = places if number >= 0 else plan.areas[-1 - number].slots or ()
            for each in dict.fromkeys(read):
                self.readers.setdefault(each, []).append(index)
            if number in plan.volatile:
                always.append(index)
            self.order[number] = index
        self.always = tuple(always)
        filled_cells = {cell for cells in plan.cells for cell in cells}
        self.inputs = {
            cell: slot
            for slot, cell in enumerate(plan.slots, start=1)
            if slot not in outputs and cell not in filled_cells
        }

    def due(self, values: list[Value], inputs: Mapping[Address, Value]) -> bytearray:
        """Put changed inputs in their places; return a mark for each step that reads one or changes with the day."""
        marks = bytearray(len(self.filled))
        for index in self.always:
            marks[index] = 1
        for slot, given in zip(self.inputs.values(), map(inputs.get, self.inputs), strict=True):
            new = as_held(given)
            if not same(values[slot], new):
                values[slot] = new
                for index in self.readers.get(slot, ()):
                    marks[index] = 1
        return marks

    def spread(self, index: int, marks: bytearray) -> None:
        """Mark the steps that read what a step fills; they all come after it."""
        for place in self.filled[index]:
            for reader in self.readers.get(place, ()):
                marks[reader] = 1


def as_held(value: Value) -> Value:
    """Return an input as the list of values holds it: whole numbers are numbers like all others."""
    return float(value) if type(value) is int else value


def same(old: Value, new: Value) -> bool:
    """Tell whether no formula can tell two values apart: TRUE is not 1, and -0 is not 0."""
    return old is new or (type(old) is type(new) and old == new and (bool(new) or str(old) == str(new)))
