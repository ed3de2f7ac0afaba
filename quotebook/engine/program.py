"""A compiled book: runs on inputs, any number of times, and gives a result or a reason for every formula cell."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from functools import cached_property
from typing import Any

from quotebook.clock import tick
from quotebook.engine.again import Dependants, Run, Runs, as_held, same
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
        self._runs = Runs()

    @property
    def source(self) -> str:
        """Return the generated expressions, for a look when something is doubtful."""
        return "\n".join(template.source for template in self.plan.templates)

    @cached_property
    def _dependants(self) -> Dependants:
        return Dependants(self.plan, self.steps)

    @cached_property
    def network(self) -> Graph:
        """Return who needs whom."""
        return build(self.plan.precedents, len(self.plan.cells))

    def run(self, inputs: Mapping[Address, Value], *, now: datetime | None = None) -> Evaluation:
        """Return the results for one set of inputs; ``now`` fixes what TODAY and NOW answer.

        An input given for a formula cell is never used: the cell is computed.
        """
        run, before = self._run(inputs, now)
        results: dict[Address, Result] = {}
        slots, values, volatile = self.slots, run.values, self.volatile
        stopped = {**self.fixed, **self._stopped(run.troubles)} if run.troubles else self.fixed
        numbers: Iterable[int] = range(len(self.cells))
        if run.redone is not None and before and before.results is not None and not (run.troubles or before.troubles):
            results.update(before.results)
            numbers = run.redone
        for number in numbers:
            result = stopped.get(number)
            for cell in self.cells[number]:
                results[cell] = result or Result(Status.EVALUATED, values[slots[cell]], "", number in volatile)
        run.results = results
        return Evaluation(results)

    def values(
        self, inputs: Mapping[Address, Value], *, now: datetime | None = None
    ) -> tuple[list[Value], dict[int, str]]:
        """Return the bare values by slot and the formulas that could not be computed, for callers in a hurry.

        Behind the slots stand the areas; they are of no use outside.
        """
        run, _ = self._run(inputs, now)
        return list(run.values), dict(run.troubles)

    def _run(self, inputs: Mapping[Address, Value], now: datetime | None) -> tuple[Run, Run | None]:
        """Run in full, or again from an earlier run, which is returned too; a run is never changed once it is kept."""
        tick()
        environment = Environment(self.plan.date1904, now or datetime.now())
        if self.needs_inputs:
            for cell, value in inputs.items():
                environment.inputs.setdefault(cell.sheet, {})[cell.row, cell.column] = value
            return self._in_full(inputs, environment), None
        before: Run | None = None
        if self._runs.kept:
            given = self._dependants.given(inputs)
            before = self._runs.nearest(given, self._dependants.slots)
        run = self._in_full(inputs, environment) if before is None else self._again(given, before, environment)
        self._runs.keep(run, before, len(self.steps))
        return run, before

    def _in_full(self, inputs: Mapping[Address, Value], environment: Environment) -> Run:
        # Areas stand behind the slots, counted from the end.
        values: list[Any] = [None] * (len(self.slots) + 1 + len(self.plan.areas))
        slots = self.slots
        for cell, value in inputs.items():
            slot = slots.get(cell)
            if slot is not None:
                values[slot] = as_held(value)
        run = Run(values)
        for number, place, call, places in self.steps:
            try:
                values[place] = call(values, environment, *places)
            except Exception as error:
                values[place] = _troubled(run, number, error)
        return run

    def _again(self, given: Sequence[Value], before: Run, environment: Environment) -> Run:
        """Compute what the run before does not answer, in the order of computation. ``given``: as in ``Dependants``."""
        dependants, redone = self._dependants, list[int]()
        run = Run(list(before.values), dict(before.troubles), redone)
        values = run.values
        marks = dependants.due(values, given)
        index = marks.find(1)
        while index >= 0:
            number, place, call, places = self.steps[index]
            run.troubles.pop(number, None)
            old = values[place]
            try:
                values[place] = call(values, environment, *places)
            except Exception as error:
                values[place] = _troubled(run, number, error)
            if number >= 0:
                redone.append(number)
            if number < 0 or number in self.plan.spreads or not same(old, values[place]):
                dependants.spread(index, marks)
            index = marks.find(1, index + 1)
        if run.troubles:
            run.troubles = dict(sorted(run.troubles.items(), key=lambda item: dependants.order[item[0]]))
        return run

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


def _troubled(run: Run, number: int, error: Exception) -> Value:
    """Return the error that a formula gives, or note why it could not be computed."""
    if isinstance(error, CellError):
        return error.value
    told = str(error) if isinstance(error, NotSupported) else f"the engine failed: {type(error).__name__}: {error}"
    run.troubles[number] = told
    return None
