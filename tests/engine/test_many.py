"""Many cases at once against one case at a time: the same answers to the last bit, whatever the formulas."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

from quotebook.engine import FormulaBook, Status
from quotebook.engine import registry as allowed
from quotebook.engine.compile import compile_new
from quotebook.engine.many import fast
from quotebook.engine.many import run as running
from quotebook.engine.many.run import Answers, run_cases
from quotebook.flows.opening import open_workbook
from quotebook.values import Address, ErrorValue
from tests.engine.random_formulas import Maker
from tests.engine.small import at, small
from tests.engine.tables import COLUMN, FAMILIES, case_book
from tests.engine.tables import book as table_book
from tests.made import place

COUNT = 60


def compare_all(
    book: FormulaBook, varied: Mapping[Address, np.ndarray], chunk: int = 25, cases: int = COUNT
) -> tuple[int, list[str]]:
    """Return how many answers were compared, and those that differ from the scalar program's."""
    program = compile_new(book)
    wanted = [cell for cells in program.cells for cell in cells]
    found = run_cases(program, book.inputs, varied, wanted, chunk=chunk)
    trouble, compared = [], 0
    for case in range(cases):
        inputs = {**book.inputs, **{cell: float(values[case]) for cell, values in varied.items()}}
        expected = program.run(inputs).results
        for cell in wanted:
            compared += 1
            if expected[cell].volatile:
                continue
            got = found.answers[cell].value(case)
            same = (got.status is Status.EVALUATED) == (expected[cell].status is Status.EVALUATED)
            if not same or repr(got.value) != repr(expected[cell].value):
                trouble.append(f"case {case} {cell} {book.formulas.get(cell)}: {got}, alone {expected[cell]}")
    return compared, trouble


def moving(cells: str, seed: int = 5) -> dict[Address, np.ndarray]:
    """Return values for cells of the data sheet: broken, whole, negative, zero, repeated, very large and very small."""
    draw = np.random.default_rng(seed)
    pool = [0.0, 1.0, -1.0, 2.5, -2.5, 0.285, 1.005, 1e15, 1e-12, 3.0, 10.0, 20.0, 1e308, 7.0000000000001]
    varied = {}
    for cell in cells.split():
        values = draw.normal(20, 30, COUNT).round(3)
        special = draw.random(COUNT) < 0.5
        values[special] = draw.choice(pool, special.sum())
        varied[Address("Data", int(cell[1:]), ord(cell[0]) - 64)] = values
    return varied


@pytest.mark.parametrize("family", FAMILIES)
def test_every_case_of_the_tables_with_moving_data(family: str) -> None:
    book, _ = case_book(family)
    compared, trouble = compare_all(book, moving("A1 A3 C2 E3 I2 N1 K2 H1"))
    assert compared > COUNT * 12
    assert not trouble, "\n".join(trouble[:10])


@pytest.mark.parametrize("seed", range(4))
def test_random_formulas_with_moving_data(seed: int) -> None:
    maker = Maker(seed=seed)
    book = table_book({Address("Data", 201 + index, COLUMN): maker.formula() for index in range(150)})
    compared, trouble = compare_all(book, moving("A1 A2 C1 C3 E2 I5 J1 N1", seed))
    assert compared > COUNT * 150
    assert not trouble, "\n".join(trouble[:10])


def test_a_whole_workbook_with_moving_quantity_cycle_and_rates(metric_file: Path) -> None:
    opened = open_workbook(metric_file)
    draw = np.random.default_rng(11)
    varied = {
        place(opened, "cycle_minutes"): draw.uniform(0.5, 9, COUNT).round(4),
        place(opened, "cycle_minutes", 1): draw.uniform(0.0, 3, COUNT),
        place(opened, "break_quantity"): draw.integers(0, 500, COUNT).astype(float),
    }
    compared, trouble = compare_all(opened.book, varied, cases=20)
    assert compared > 10_000
    assert not trouble, "\n".join(trouble[:10])


def answers(formula: str, values: list[float], chunk: int = 4096) -> Answers:
    book = small({"B1": formula})
    return run_cases(compile_new(book), {}, {at("A1"): values}, [at("B1")], chunk=chunk).answers[at("B1")]


def test_an_error_stops_only_its_own_case() -> None:
    found = answers("IF(A1>2,1/(A1-3),A1)", [1.0, 3.0, 4.0])
    assert found.numbers[0] == 1.0
    assert found.others == {1: ErrorValue.DIV0}
    assert found.numbers[2] == 1.0


def test_what_cannot_be_computed_is_unknown_in_its_case_alone_and_where_it_is_used() -> None:
    # MOD at the last binary digit is refused by the engine.
    book = small({"B1": "MOD(A1,0.1)", "B2": "IFERROR(B1,0)+1", "B3": "IF(FALSE,B1,7)", "B4": "A1*2"})
    program = compile_new(book)
    wanted = [at(f"B{row}") for row in range(1, 5)]
    found = run_cases(program, {}, {at("A1"): [0.25, 0.3, 0.35]}, wanted).answers
    for name in ("B1", "B2", "B3"):
        assert set(found[at(name)].unknown) == {1}
        assert np.isnan(found[at(name)].numbers[1])
    assert "depends on S!B1" in found[at("B2")].unknown[1]
    assert not found[at("B4")].unknown


def test_taking_a_function_off_the_list_makes_its_dependants_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    formulas = {"B1": "SQRT(A1)", "B2": "IFERROR(B1,0)", "B3": "IF(A1<0,B1,A1)", "B4": "A1+1", "B5": "SUM(B1:B4)"}
    book = small(formulas)
    shorter = {name: function for name, function in allowed.functions().items() if name != "SQRT"}
    monkeypatch.setattr("quotebook.engine.emit.functions", lambda: shorter)
    found = run_cases(compile_new(book), {}, {at("A1"): [4.0, 9.0]}, [at(cell) for cell in formulas]).answers
    assert {cell for cell in formulas if found[at(cell)].unknown} == {"B1", "B2", "B3", "B5"}
    assert all(set(found[at(cell)].unknown) == {0, 1} for cell in ("B1", "B2", "B3", "B5"))


def test_stored_results_play_no_part() -> None:
    book = small({"B1": "A1*2", "B2": "B1+A2"}, {"A2": 1.0})
    poisoned = {**book.inputs, at("B1"): 987654321.5, at("B2"): 987654321.5}
    found = run_cases(compile_new(book), poisoned, {at("A1"): [1.0, 2.0]}, [at("B2")])
    assert found.answers[at("B2")].numbers.tolist() == [3.0, 5.0]


def test_only_what_depends_on_the_inputs_and_is_wanted_is_computed() -> None:
    book = small({"B1": "A1*2", "B2": "A2*2", "B3": "B1+B2", "B4": "B1*5"})
    found = run_cases(compile_new(book), {}, {at("A1"): [1.0, 2.0]}, [at("B3"), at("B2"), at("A1")])
    assert (found.formulas, found.varying) == (4, 2)
    assert found.answers[at("B2")].numbers.tolist() == [0.0, 0.0]
    assert found.answers[at("A1")].numbers.tolist() == [1.0, 2.0]


def test_a_broken_fast_way_is_caught_by_the_scalar_program(monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*arguments: object) -> object:
        raise RuntimeError("a slip in a fast way")

    monkeypatch.setitem(fast.WAYS, "multiply", breaks)
    assert answers("A1*3", [1.0, 2.0]).numbers.tolist() == [3.0, 6.0]


def test_whole_columns_are_read_for_each_case() -> None:
    book = small({"B1": 'SUM(A:A)+COUNTIF(A:A,">5")'}, {"A1": 1.0, "A3": 7.0})
    compared, trouble = compare_all(book, {at("A1"): np.arange(8.0)}, chunk=3, cases=8)
    assert compared == 8
    assert not trouble


@pytest.mark.parametrize("varied", [{at("A1"): [1.0], at("A2"): [1.0, 2.0]}, {at("A1"): []}, {at("B1"): [1.0]}])
def test_wrong_use_is_refused(varied: dict[Address, list[float]]) -> None:
    book = small({"B1": "A1*2"})
    with pytest.raises(ValueError, match=r"cases|formula"):
        run_cases(compile_new(book), {}, varied, [at("B1")])


def test_chunks_do_not_show() -> None:
    values = [float(each) for each in range(100)]
    whole, pieces = answers('IF(A1>50,"high",A1/7)', values), answers('IF(A1>50,"high",A1/7)', values, chunk=7)
    assert np.array_equal(whole.numbers, pieces.numbers, equal_nan=True)
    assert whole.others == pieces.others
    assert running.CHUNK >= 1000


def test_texts_counted_among_numbers_that_move() -> None:
    texts = ("mill", "MILL", "m*", "7", "TRUE", "<>mill", "", "incomplete", "#N/A")
    formulas = {Address("Data", 201 + n, COLUMN): f'COUNTIF(A1:C9,"{text}")' for n, text in enumerate(texts)}
    # Some cases of this one are text, others numbers.
    formulas[Address("Data", 301, COLUMN)] = 'IF(A1>10,"mill",A1)'
    formulas[Address("Data", 302, COLUMN)] = 'COUNTIF(Z301:Z301,"mill")'
    formulas[Address("Data", 303, COLUMN)] = "COUNTIF(Z301:Z302,Z301)"
    compared, trouble = compare_all(table_book(formulas), moving("A1 A2 C1 C3"))
    assert compared >= COUNT * len(formulas)
    assert not trouble, "\n".join(trouble[:10])
