"""Running a program for many cases: what does not vary is computed once, the rest over chunks of cases."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np

from quotebook.clock import tick
from quotebook.engine.arrays import Array
from quotebook.engine.book import Result, Status
from quotebook.engine.convert import CellError, NotSupported
from quotebook.engine.link import linked_constants
from quotebook.engine.many.calls import Caller
from quotebook.engine.many.columns import Block, Column, Raised, block, items, objects, settled
from quotebook.engine.many.rewrite import over_columns
from quotebook.engine.program import Program
from quotebook.engine.runtime import Environment
from quotebook.values import Address, Value

#: Cases computed together: arrays of this length stay in the processor's cache.
CHUNK = 4096

Numbers = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(slots=True)
class Answers:
    """The answers of one cell in every case.

    ``numbers``: NaN where a case gives no number. ``others``: by case, what it gives instead: text, logical or error.
    ``unknown``: by case, why there is no answer.
    """

    numbers: Numbers
    others: dict[int, Value] = field(default_factory=dict)
    unknown: dict[int, str] = field(default_factory=dict)

    def value(self, case: int) -> Result:
        """Return one case as the scalar run gives it."""
        if case in self.unknown:
            return Result(Status.NOT_EVALUATED, None, self.unknown[case])
        if case in self.others:
            return Result(Status.EVALUATED, self.others[case])
        return Result(Status.EVALUATED, float(self.numbers[case]))

    @property
    def complete(self) -> bool:
        """Tell whether every case gives a number."""
        return not self.others and not self.unknown


@dataclass(frozen=True, slots=True)
class Cases:
    """Answers by cell; ``formulas`` of the book, ``varying`` of them were computed case by case."""

    answers: Mapping[Address, Answers]
    count: int
    formulas: int
    varying: int


def run_cases(
    program: Program,
    inputs: Mapping[Address, Value],
    varied: Mapping[Address, Sequence[float] | Numbers],
    wanted: Sequence[Address],
    *,
    now: datetime | None = None,
    chunk: int = CHUNK,
) -> Cases:
    """Return the answers of the wanted cells for every case.

    Shape: ``varied`` holds n numbers for each varied input cell; every answer has n cases.
    Errors: ValueError when the varied inputs differ in length or one of them holds a formula.
    """
    arrays = {cell: np.ascontiguousarray(values, dtype=np.float64) for cell, values in varied.items()}
    counts = {len(values) for values in arrays.values()}
    if len(counts) != 1 or counts == {0}:
        raise ValueError(f"varied inputs hold {sorted(counts)} cases, expected one number above 0")
    count = counts.pop()
    runner = _Runner(program, inputs, arrays, wanted, now or datetime.now())
    answers = {cell: Answers(np.full(count, np.nan)) for cell in wanted}
    with np.errstate(over="raise", divide="raise", invalid="raise", under="ignore"):
        for start in range(0, count, chunk):
            runner.chunk(start, min(start + chunk, count), answers)
    return Cases(answers, count, len(program.cells), len(runner.cone))


class _Runner:
    """One book with one set of varied inputs."""

    def __init__(
        self,
        program: Program,
        inputs: Mapping[Address, Value],
        varied: Mapping[Address, Numbers],
        wanted: Sequence[Address],
        now: datetime,
    ) -> None:
        self.program, self.varied, self.wanted = program, varied, wanted
        self.environment = Environment(program.plan.date1904, now)
        for cell, value in inputs.items():
            self.environment.inputs.setdefault(cell.sheet, {})[cell.row, cell.column] = value
        first = {cell: float(values[0]) for cell, values in varied.items()}
        self.base, troubles = program.values({**inputs, **first}, now=now)
        self.cone = self._cone()
        inside = {step[0] for step in self.cone}
        self.troubles = {number: reason for number, reason in troubles.items() if number not in inside}
        self.number_of = {cell: number for number, cells in enumerate(program.cells) for cell in cells}
        for cell in varied:
            if cell in self.number_of:
                raise ValueError(f"{cell} holds a formula and cannot be varied")
        self._reached: dict[int, frozenset[int]] = {}
        self._callers: dict[int, tuple[dict[str, Any], dict[int, Any]]] = {}

    def _cone(self) -> list[tuple[int, int, Any, tuple[int, ...], int]]:
        """Return the steps that depend on a varied input and that a wanted cell depends on, in order."""
        plan, slots = self.program.plan, self.program.slots
        moving: set[int] = {slots[cell] for cell in self.varied if cell in slots}
        chosen = []
        for step, (number, place, call, places) in zip(plan.steps, self.program.steps, strict=True):
            reads = self._area_reads(-1 - number) if number < 0 else places
            if self._moves(number, reads, moving):
                moving.add(place)
                if number in plan.spreads:
                    moving.update(plan.spreads[number].slots)
                chosen.append((number, place, call, places, step.template))
        needed = {slots[cell] for cell in self.wanted if cell in slots}
        kept = []
        for each in reversed(chosen):
            number, place, _, places, _ = each
            spread = plan.spreads.get(number)
            if place in needed or (spread is not None and not needed.isdisjoint(spread.slots)):
                needed.update(self._area_reads(-1 - number) if number < 0 else places)
                kept.append(each)
        return kept[::-1]

    def _moves(self, number: int, reads: Sequence[int], moving: set[int]) -> bool:
        if not moving.isdisjoint(reads):
            return True
        if number >= 0 or self.program.plan.areas[-1 - number].slots is not None:
            return False
        area = self.program.plan.areas[-1 - number]
        return any(
            cell.sheet == area.sheet and area.top <= cell.row <= area.bottom and area.left <= cell.column <= area.right
            for cell in self.varied
        )

    def _area_reads(self, area: int) -> Sequence[int]:
        slots = self.program.plan.areas[area].slots
        return slots if slots is not None else tuple(self.program.plan.known.get(area, {}).values())

    # -- one chunk ------------------------------------------------------------------------------

    def chunk(self, start: int, end: int, answers: Mapping[Address, Answers]) -> None:
        """Compute the cases from ``start`` to before ``end`` and put them into the answers."""
        count = end - start
        values = list(self.base)
        for cell, numbers in self.varied.items():
            if cell in self.program.slots:
                values[self.program.slots[cell]] = settled(numbers[start:end])
        troubles: dict[int, dict[int, str] | str] = dict(self.troubles)
        for number, place, call, places, template in self.cone:
            tick()
            if number < 0:
                values[place] = self._area(-1 - number, values, start, end)
            elif number in self.program.plan.spreads:
                self._spread(number, call, values, places, start, count, troubles)
            else:
                column = self._formula(template, call, values, places, start, count)
                values[place] = _kept(number, column, troubles)
        for cell, found in answers.items():
            self._answer(cell, values, start, count, troubles, found)

    def _area(self, number: int, values: list[Any], start: int, end: int) -> Any:
        area = self.program.plan.areas[number]
        if area.slots is not None:
            flat = [values[slot] for slot in area.slots]
            return block(area.bottom - area.top + 1, area.right - area.left + 1, flat, ref=True)
        return _Open(self, number, start, end)

    def _formula(
        self, template: int, call: Any, values: list[Any], places: tuple[int, ...], start: int, count: int
    ) -> Column:
        read = [values[place] for place in places]
        if any(type(each) is _Open for each in read):
            return self._case_by_case(call, values, places, start, count)
        if not any(type(each) is np.ndarray or type(each) is Block for each in read):
            return _once(call, values, self.environment, places)
        vocabulary, functions = self._vocabulary(count)
        function = functions.get(template)
        if function is None:
            function = functions[template] = over_columns(self.program.plan.templates[template], vocabulary)
        try:
            column = function(values, self.environment, *places)
        except Exception:  # whatever the fast way stumbles over, the scalar program decides
            return self._case_by_case(call, values, places, start, count)
        if isinstance(column, Array | Block | np.generic):
            return self._case_by_case(call, values, places, start, count)
        return column

    def _vocabulary(self, count: int) -> tuple[dict[str, Any], dict[int, Any]]:
        found = self._callers.get(count)
        if found is None:
            constants = linked_constants(self.program.plan)
            found = self._callers[count] = Caller(count).vocabulary(constants), {}
        return found

    def _case_by_case(self, call: Any, values: list[Any], places: tuple[int, ...], start: int, count: int) -> Column:
        """Return a formula's column as the scalar program computes it, case by case."""
        results = []
        for _ in self._each_case(values, places, start, count):
            result = _once(call, self._scratch, self.environment, places)
            results.append(result)
        return objects(results)

    def _each_case(self, values: list[Any], places: tuple[int, ...], start: int, count: int) -> Iterator[int]:
        """Yield case numbers with the scratch values and the environment set for each."""
        self._scratch: list[Any] = list(values)
        opened = [place for place in places if type(values[place]) is _Open]
        columns = [(place, items(values[place], count)) for place in places if place not in opened]
        iterators = [(place, iter(column)) for place, column in columns]
        for case in range(count):
            for place, iterator in iterators:
                self._scratch[place] = next(iterator)
            for place in opened:
                self._scratch[place] = values[place].case(values, case, start)
            yield case

    def _spread(
        self, number: int, call: Any, values: list[Any], places: tuple[int, ...], start: int, count: int,
        troubles: dict[int, dict[int, str] | str],
    ) -> None:  # fmt: skip
        """Compute an array formula case by case and put the columns of all its cells."""
        slots = self.program.plan.spreads[number].slots
        cells: list[list[Any]] = [[] for _ in slots]
        for _ in self._each_case(values, places, start, count):
            result = _once(call, self._scratch, self.environment, places)
            for found, slot in zip(cells, slots, strict=True):
                found.append(result if isinstance(result, Raised) else self._scratch[slot])
        for found, slot in zip(cells, slots, strict=True):
            values[slot] = _kept(number, objects(found), troubles)

    # -- answers ----------------------------------------------------------------------------------

    def _answer(
        self, cell: Address, values: list[Any], start: int, count: int,
        troubles: Mapping[int, dict[int, str] | str], found: Answers,
    ) -> None:  # fmt: skip
        number = self.number_of.get(cell)
        if number is not None and number in self.program.fixed:
            found.unknown.update(dict.fromkeys(range(start, start + count), self.program.fixed[number].reason))
            return
        slot = self.program.slots.get(cell)
        column = None if slot is None else values[slot]
        if type(column) is float or (type(column) is np.ndarray and column.dtype == np.float64):
            found.numbers[start : start + count] = column
        else:
            for case, value in zip(range(start, start + count), items(column, count), strict=False):
                if type(value) is float:
                    found.numbers[case] = value
                else:
                    found.others[case] = value
        if number is not None and troubles:
            self._mark(number, start, count, troubles, found)

    def _mark(
        self, number: int, start: int, count: int, troubles: Mapping[int, dict[int, str] | str], found: Answers
    ) -> None:
        """Mark the cases in which the formula, or one that it depends on, could not be computed."""
        for root, reasons in troubles.items():
            if root != number and number not in self._reach(root):
                continue
            by_case = dict.fromkeys(range(count), reasons) if isinstance(reasons, str) else reasons
            for case, reason in by_case.items():
                told = reason if root == number else f"depends on {self.program.cells[root][0]}: {reason}"
                found.unknown[start + case] = told
                found.numbers[start + case] = np.nan
                found.others.pop(start + case, None)

    def _reach(self, root: int) -> frozenset[int]:
        if root not in self._reached:
            self._reached[root] = frozenset(self.program.network.reached([root]))
        return self._reached[root]


class _Open:
    """A range that is read openly; it is put together for each case."""

    def __init__(self, runner: _Runner, number: int, start: int, end: int) -> None:
        self.runner, self.number = runner, number
        self._columns: dict[int, list[Any]] = {}
        area = runner.program.plan.areas[number]
        self.inputs = {
            (cell.row, cell.column): numbers for cell, numbers in runner.varied.items() if cell.sheet == area.sheet
        }
        self.count = end - start
        self.sheet = area.sheet
        self.read = next(call for step, _, call, _ in runner.program.steps if step == -1 - number)

    def case(self, values: list[Any], case: int, start: int) -> Any:
        """Return the range of one case."""
        known = self.runner.program.plan.known.get(self.number, {})
        scratch = self.runner._scratch
        for slot in known.values():
            column = values[slot]
            if type(column) is np.ndarray:
                scratch[slot] = self._columns.setdefault(slot, column.tolist())[case]
        inputs = self.runner.environment.inputs.setdefault(self.sheet, {})
        for place, numbers in self.inputs.items():
            inputs[place] = float(numbers[start + case])
        return self.read(scratch, self.runner.environment)


def _once(call: Any, values: list[Any], environment: Environment, places: tuple[int, ...]) -> Any:
    for place in places:
        if type(values[place]) is Raised:
            return values[place]
    try:
        return call(values, environment, *places)
    except (CellError, NotSupported) as error:
        return Raised(error)
    except Exception as error:
        return Raised(NotSupported(f"the engine failed: {type(error).__name__}: {error}"))


def _kept(number: int, column: Column, troubles: dict[int, dict[int, str] | str]) -> Column:
    """Return what the cells hold: blanks are 0, errors are values; what could not be computed is noted."""
    if type(column) is np.ndarray and column.dtype != object:
        return settled(column)
    if type(column) is not np.ndarray:
        if column is None:
            return 0.0
        if type(column) is not Raised:
            return column
        if isinstance(column.error, CellError):
            return column.error.value
        troubles[number] = str(column.error)
        return None
    held: list[Any] = []
    for case, value in enumerate(column):
        if type(value) is Raised:
            if isinstance(value.error, CellError):
                value = value.error.value
            else:
                noted = troubles.setdefault(number, {})
                if isinstance(noted, dict):
                    noted[case] = str(value.error)
                value = None
        elif value is None:
            value = 0.0
        held.append(value)
    return objects(held)
