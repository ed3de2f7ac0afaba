"""A compiled book: runs on inputs, any number of times, and gives a result or a reason for every formula cell."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from quotebook.engine.book import Evaluation, Result, Status
from quotebook.engine.convert import CellError, NotSupported
from quotebook.engine.graph import Graph
from quotebook.engine.runtime import Environment
from quotebook.values import Address, Value

RunFunction = Callable[[list[Value], list[Any], Environment, Callable[[int, Exception], Value]], None]


@dataclass(slots=True)
class Program:
    """Formulas compiled to Python. ``source`` is the generated text, for a look when something is doubtful.

    ``cells[n]`` are the cells that formula n fills (several for an array formula); ``fixed`` holds the results that
    are known not to be computable before any run.
    """

    slots: dict[Address, int]
    areas: int
    functions: list[RunFunction]
    cells: list[list[Address]]
    result_slots: dict[int, int]
    fixed: dict[int, Result]
    volatile: frozenset[int]
    network: Graph
    date1904: bool
    needs_inputs: bool
    source: str = field(repr=False, default="")

    def run(self, inputs: Mapping[Address, Value], *, now: datetime | None = None) -> Evaluation:
        """Return the results for one set of inputs; ``now`` fixes what TODAY and NOW answer.

        An input given for a formula cell is never used: the cell is computed.
        """
        values, troubles = self.values(inputs, now=now)
        results: dict[Address, Result] = {}
        slots, volatile = self.slots, self.volatile
        stopped = {**self.fixed, **self._stopped(troubles)} if troubles else self.fixed
        for number, cells in enumerate(self.cells):
            result = stopped.get(number)
            for cell in cells:
                results[cell] = result or Result(Status.EVALUATED, values[slots[cell]], "", number in volatile)
        return Evaluation(results)

    def values(
        self, inputs: Mapping[Address, Value], *, now: datetime | None = None
    ) -> tuple[list[Value], dict[int, str]]:
        """Return the bare values by slot and the formulas that could not be computed, for callers in a hurry."""
        values: list[Value] = [None] * (len(self.slots) + 1)
        slots = self.slots
        for cell, value in inputs.items():
            slot = slots.get(cell)
            if slot is not None:
                values[slot] = float(value) if type(value) is int else value
        environment = Environment(self.date1904, now or datetime.now())
        if self.needs_inputs:
            for cell, value in inputs.items():
                environment.inputs.setdefault(cell.sheet, {})[cell.row, cell.column] = value
        troubles: dict[int, str] = {}

        def trouble(number: int, error: Exception) -> Value:
            if isinstance(error, CellError):
                return error.value
            if isinstance(error, NotSupported):
                troubles[number] = str(error)
            else:
                troubles[number] = f"the engine failed: {type(error).__name__}: {error}"
            return None

        ranges: list[Any] = [None] * self.areas
        for function in self.functions:
            function(values, ranges, environment, trouble)
        return values, troubles

    def _stopped(self, troubles: dict[int, str]) -> dict[int, Result]:
        """Return the results of formulas that failed in this run, and of all that depend on them."""
        stopped: dict[int, Result] = {}
        reached = self.network.reached(troubles)  # they come in the order of computation
        roots = set(troubles) - set(reached)
        for number, root in reached.items():
            cell = self.cells[root][0]
            reason = f"depends on {cell}: {troubles[root]}"
            stopped[number] = Result(Status.DEPENDS_ON_NOT_EVALUATED, None, reason, number in self.volatile)
        for number in roots:
            stopped[number] = Result(Status.NOT_EVALUATED, None, troubles[number], number in self.volatile)
        return {number: result for number, result in stopped.items() if number not in self.fixed}
