"""A compiled book: runs on inputs, any number of times, and gives a result or a reason for every formula cell."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from functools import cached_property
from typing import Any

from quotebook.clock import tick
from quotebook.engine.book import Evaluation, Result, Status
from quotebook.engine.convert import CellError, NotSupported
from quotebook.engine.graph import Graph, build
from quotebook.engine.link import linked
from quotebook.engine.plan import Plan
from quotebook.engine.runtime import Environment
from quotebook.values import Address, Value


class Program:
    """Formulas compiled to Python, ready to run.

    ``slots``: the place of each cell in the list of values. ``cells[n]`` are the cells that formula n fills (several
    for an array formula); ``fixed`` holds the results that are known not to be computable before any run.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.slots: dict[Address, int] = {cell: number for number, cell in enumerate(plan.slots, start=1)}
        self.cells = plan.cells
        self.fixed = plan.fixed
        self.volatile = plan.volatile
        self.needs_inputs = any(area.slots is None for area in plan.areas)
        self.steps = linked(plan)

    @property
    def source(self) -> str:
        """Return the generated expressions, for a look when something is doubtful."""
        return "\n".join(template.source for template in self.plan.templates)

    @cached_property
    def network(self) -> Graph:
        """Return who needs whom."""
        return build(self.plan.precedents, len(self.plan.cells))

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
        """Return the bare values by slot and the formulas that could not be computed, for callers in a hurry.

        Behind the slots stand the areas; they are of no use outside.
        """
        tick()
        # Areas stand behind the slots, counted from the end.
        values: list[Any] = [None] * (len(self.slots) + 1 + len(self.plan.areas))
        slots = self.slots
        for cell, value in inputs.items():
            slot = slots.get(cell)
            if slot is not None:
                values[slot] = float(value) if type(value) is int else value
        environment = Environment(self.plan.date1904, now or datetime.now())
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

        for number, place, call, places in self.steps:
            try:
                values[place] = call(values, environment, *places)
            except Exception as error:
                values[place] = trouble(number, error)
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
