"""Running a program again: only what stands behind a changed input is computed anew.

Workbooks of one template differ in some of their inputs, and most of their formulas then say what they said before. A
formula whose cells hold exactly what they held in the run before gives the same result, so it is not asked again; one
that changes with the day is always asked. Programs that read ranges openly are run in full.

A folder holds several jobs and copies of each, in any order, so a few runs are kept and the nearest is gone on from.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from operator import ne

from quotebook.engine.book import Result
from quotebook.engine.link import Call
from quotebook.engine.plan import Plan
from quotebook.values import Address, Value

#: Runs that a program keeps: for a workbook of 8,000 formulas each takes half a megabyte.
MOST_RUNS = 6
#: A run that computed a smaller share of the formulas anew takes the place of the one that it went on from.
NEAR = 0.1


@dataclass(slots=True)
class Run:
    """One run: the list of values as it was left, and the formulas that could not be computed, with reasons.

    ``results``: as they were told, once they were asked for. ``redone``: the formulas computed in this run, None: all.
    """

    values: list[Value]
    troubles: dict[int, str] = field(default_factory=dict)
    redone: list[int] | None = None
    results: Mapping[Address, Result] | None = None


class Runs:
    """The runs that a program keeps, the latest first."""

    def __init__(self) -> None:
        self.kept: list[Run] = []

    def nearest(self, given: Sequence[Value], slots: Sequence[int]) -> Run | None:
        """Return the run whose inputs differ in the fewest places; ``given``: the inputs of each of the ``slots``."""
        if len(self.kept) < 2:
            return self.kept[0] if self.kept else None
        return min(self.kept, key=lambda run: sum(map(ne, map(run.values.__getitem__, slots), given)))

    def keep(self, run: Run, before: Run | None, steps: int) -> None:
        """Keep a run. ``before``: the one that it went on from; ``steps``: how many formulas there are."""
        if before is not None and run.redone is not None and len(run.redone) < NEAR * steps:
            self.kept = [one for one in self.kept if one is not before]
        self.kept = [run, *self.kept[: MOST_RUNS - 1]]


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
        self.slots = tuple(self.inputs.values())

    def given(self, inputs: Mapping[Address, Value]) -> list[Value]:
        """Return the inputs in the order of ``inputs``; None for an empty cell."""
        return list(map(inputs.get, self.inputs))

    def due(self, values: list[Value], given: Sequence[Value]) -> bytearray:
        """Put changed inputs in their places; return a mark for each step that reads one or changes with the day."""
        marks = bytearray(len(self.filled))
        for index in self.always:
            marks[index] = 1
        for slot, new in zip(self.slots, given, strict=True):
            if new is values[slot]:
                continue
            new = as_held(new)
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
