"""A program that ran before gives what one that never ran gives, whatever changed in between.

Source of every expectation: the same formulas compiled afresh and run in full, which other tests hold against others.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from quotebook.engine import FormulaBook, compile_book
from quotebook.engine.again import MOST_RUNS, same
from quotebook.engine.compile import compile_new
from quotebook.engine.program import Program
from quotebook.flows.opening import open_workbook
from quotebook.values import Address, ErrorValue, Value
from tests.engine.random_formulas import Maker
from tests.engine.small import NOON, at, small
from tests.engine.tables import COLUMN, book

#: What people leave in a cell: numbers, nothing, blanks, texts like numbers, logicals, errors.
LEFT: tuple[Value, ...] = (
    0.0, -0.0, 1.0, 2.5, -3.0, 10.0, 1e15, None, "", "7", "mill", "lathe", True, False, ErrorValue.DIV0, ErrorValue.NA,
)  # fmt: skip


def told(program: Program, inputs: dict[Address, Value], now: datetime = NOON) -> dict[Address, str]:
    """Return all results in words, so that -0 is not 0 and TRUE is not 1."""
    return {cell: repr(result) for cell, result in program.run(inputs, now=now).results.items()}


@pytest.mark.parametrize("seed", range(6))
def test_random_formulas_after_random_changes(seed: int) -> None:
    maker, random = Maker(seed=seed), Random(seed)
    made = [formula for formula in (maker.formula() for _ in range(170)) if "C:C" not in formula][:120]
    formulas = {Address("Data", 201 + index, COLUMN): formula for index, formula in enumerate(made)}
    letter = "Z"
    formulas |= {Address("Data", 401 + n, COLUMN): f"COUNT({letter}{201 + n}:{letter}{210 + n})" for n in range(0, 100)}
    formulas |= {Address("Data", 601 + n, COLUMN): f"{letter}{401 + n}*{letter}{402 + n}&A1" for n in range(0, 90)}
    start = book(formulas)
    program, fresh = compile_new(start), compile_new(start)
    cells = [cell for cell in start.inputs if cell.sheet == "Data"]
    inputs = dict(start.inputs)
    seen = set()
    for _ in range(25):
        for cell in random.sample(cells, random.choice((0, 1, 1, 2, 5))):
            value = random.choice(LEFT)
            inputs.pop(cell, None)
            if value is not None:
                inputs[cell] = value
        fresh._runs.kept.clear()
        expected = told(fresh, inputs)
        assert told(program, inputs) == expected
        redone = program._runs.kept[0].redone
        seen.add(None if redone is None else len(redone) < len(formulas) / 2)
    assert True in seen, "no change left most formulas alone: nothing was tried"


def test_only_what_stands_behind_a_changed_input_is_computed() -> None:
    start = small({"B1": "A1*2", "B2": "MIN(B1,10)", "B3": "B2+A2", "B4": "A3&A2"}, {"A1": 8.0, "A2": 1.0})
    program = compile_new(start)
    program.run(start.inputs)
    computed = []
    for name, value in (("A1", 9.0), ("A3", "x"), ("A2", 2.0), ("A2", 2.0)):
        start.inputs[at(name)] = value  # type: ignore[index]
        results = program.run(start.inputs).results
        computed.append({str(program.cells[number][0])[2:] for number in program._runs.kept[0].redone or ()})
    # 16 and 18 are both over the limit of 10, so nothing behind B2 is asked again.
    assert computed == [{"B1", "B2"}, {"B4"}, {"B3", "B4"}, set()]
    assert [results[at(f"B{row}")].value for row in range(1, 5)] == [18.0, 10.0, 12.0, "x2"]


def test_the_nearest_of_several_runs_is_gone_on_from() -> None:
    """Two jobs in turn: each is computed anew once, then only what its own change reaches."""
    formulas = {f"B{row}": f"A{row}*2" for row in range(1, 21)}
    program = compile_new(small(formulas))
    jobs: list[dict[Address, Value]] = [{at(f"A{row}"): row * each for row in range(1, 21)} for each in (1.0, 3.0)]
    counts = []
    for turn in range(40):
        inputs = jobs[turn % 2]
        inputs[at("A1")] = float(turn)
        assert told(program, inputs) == told(compile_new(small(formulas)), inputs)
        redone = program._runs.kept[0].redone
        counts.append(None if redone is None else len(redone))
        assert len(program._runs.kept) <= MOST_RUNS
    assert counts == [None, 20, *[1] * 38]


def test_many_jobs_do_not_pile_up() -> None:
    formulas = {f"B{row}": f"A{row}*2" for row in range(1, 11)}
    program = compile_new(small(formulas))
    for job in range(3 * MOST_RUNS):
        inputs: dict[Address, Value] = {at(f"A{row}"): row + 100.0 * job for row in range(1, 11)}
        assert told(program, inputs) == told(compile_new(small(formulas)), inputs)
    assert len(program._runs.kept) == MOST_RUNS


def test_what_could_not_be_computed_becomes_known_and_unknown_again() -> None:
    # MOD at the last binary digit is refused by the engine.
    formulas = {"B1": "MOD(A1,0.1)", "B2": "IFERROR(B1,0)+1", "B3": "A1*2", "B4": "MOD(A2,0.1)", "B5": "B4+B2"}
    program = compile_new(small(formulas))
    for first, second in ((0.25, 0.25), (0.3, 0.25), (0.3, 0.3), (0.25, 0.3), (0.25, 0.25)):
        inputs: dict[Address, Value] = {at("A1"): first, at("A2"): second}
        assert told(program, inputs) == told(compile_new(small(formulas)), inputs)


def test_array_formulas_and_the_cells_that_they_fill() -> None:
    start = small({"B1": "A1:A3*2", "C1": "SUM(B1:B3)", "C2": "B2+1"}, arrays={at("B1"): at("B3")})
    program = compile_new(start)
    for values in ((1.0, 2.0, 3.0), (1.0, 5.0, 3.0), (1.0, "x", 3.0), (1.0, 2.0, 3.0)):
        inputs: dict[Address, Value] = {at(f"A{row}"): value for row, value in enumerate(values, start=1)}
        assert told(program, inputs) == told(compile_new(start), inputs)


def test_what_changes_with_the_day_is_asked_each_time() -> None:
    start = small({"B1": "TODAY()", "B2": "B1+A1", "B3": "A1*2"}, {"A1": 1.0})
    program = compile_new(start)
    for days in (0, 0, 3):
        now = NOON + timedelta(days=days)
        assert told(program, dict(start.inputs), now) == told(compile_new(start), dict(start.inputs), now)


def test_a_range_that_is_read_openly_is_read_anew() -> None:
    start = small({"B1": "SUM(A:A)", "B2": "COUNTA(Other!C:C)"}, {"A1": 1.0})
    program = compile_new(start)
    for inputs in ({at("A1"): 1.0}, {at("A1"): 1.0, at("A900"): 4.0}, {at("Other!C7"): "x"}):
        assert told(program, dict(inputs)) == told(compile_new(start), dict(inputs))


def test_whole_numbers_given_as_such_are_numbers_like_all_others() -> None:
    start = small({"B1": "A1/2", "B2": 'TEXT(A1,"0.0")'})
    program = compile_new(start)
    for value in (3, 3.0, 4, True):
        assert told(program, {at("A1"): value}) == told(compile_new(start), {at("A1"): value})


def test_values_that_formulas_can_tell_apart_are_not_the_same() -> None:
    apart: list[tuple[Value, Value]] = [
        (0.0, -0.0), (1.0, True), (0.0, False), (None, ""), (None, 0.0), ("1", 1.0), (ErrorValue.NA, "#N/A"),
    ]  # fmt: skip
    assert not any(same(a, b) or same(b, a) for a, b in apart)
    assert all(same(value, value) for pair in apart for value in pair)
    assert same(0.1 + 0.2, 0.30000000000000004)


def test_a_given_result_is_never_taken_for_one(metric_file: Path) -> None:
    """Poisoned stored values change nothing, in the first run or later."""
    opened = open_workbook(metric_file)
    program = compile_book(opened.book)
    clean = told(program, dict(opened.book.inputs))
    poisoned = {**opened.book.inputs, **dict.fromkeys(opened.book.formulas, 987654321.5)}
    assert told(program, poisoned) == clean
    assert told(compile_new(opened.book), poisoned) == clean


def test_a_whole_workbook_after_each_of_its_inputs_changed(metric_file: Path, blank_file: Path) -> None:
    opened = open_workbook(metric_file)
    program, fresh = compile_new(opened.book), compile_new(opened.book)
    random = Random(3)
    numbers = [cell for cell, value in opened.book.inputs.items() if isinstance(value, float)]
    inputs = dict(opened.book.inputs)
    for cell in random.sample(numbers, 40):
        inputs[cell] = float(inputs[cell]) * 1.5  # type: ignore[arg-type]
        fresh._runs.kept.clear()
        assert told(program, inputs) == told(fresh, inputs)
    other: FormulaBook = open_workbook(blank_file).book
    fresh._runs.kept.clear()
    assert told(program, dict(other.inputs)) == told(fresh, dict(other.inputs))
