"""Arithmetic and rounding against exact decimals, and promises that hold for any inputs."""

from __future__ import annotations

import time
from decimal import ROUND_CEILING, ROUND_DOWN, ROUND_FLOOR, ROUND_HALF_UP, ROUND_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotebook.engine import Status, compile_book, evaluate
from quotebook.engine.compile import compile_new
from quotebook.values import Address, Value
from tests.engine.small import at, small

#: Numbers as people type them: up to 15 digits in all.
typed = st.decimals(min_value=-(10**7), max_value=10**7, places=4, allow_nan=False)
#: Sums of amounts of one sign: where large terms cancel, noise grows beyond the 15th digit in every program.
costs = st.decimals(min_value=0, max_value=10**7, places=4, allow_nan=False)
MODES = {"ROUND": ROUND_HALF_UP, "ROUNDUP": ROUND_UP, "ROUNDDOWN": ROUND_DOWN}
ROUNDING = compile_book(small({f"B{n}": f"{name}(A1,A2)" for n, name in enumerate(MODES, start=1)}))
STEPPING = compile_book(small({"B1": "CEILING(A1,A2)", "B2": "FLOOR(A1,A2)", "B3": "MROUND(A1,A2)", "B4": "INT(A1)"}))
SUMS = compile_book(small({"B1": "A1+A2-A3", "B2": "A1*A2", "B3": "A1/A3", "B4": "SUM(A1:A3)", "B5": "A1=A2"}))


def run(program: object, *inputs: float) -> list[Value]:
    results = program.run({at(f"A{n}"): float(v) for n, v in enumerate(inputs, start=1)}).results  # type: ignore[attr-defined]
    return [results[cell].value for cell in sorted(results)]


@given(value=typed, places=st.integers(-4, 8))
def test_rounding_a_typed_number_is_decimal_rounding(value: Decimal, places: int) -> None:
    step = Decimal(1).scaleb(-places)
    expected = [float((value / step).quantize(Decimal(1), mode) * step) + 0.0 for mode in MODES.values()]
    assert run(ROUNDING, float(value), places) == expected


@given(left=costs, right=costs, places=st.integers(0, 4))
def test_binary_noise_of_a_sum_never_changes_its_rounding(left: Decimal, right: Decimal, places: int) -> None:
    noisy = float(left) + float(right)
    exact = left + right
    step = Decimal(1).scaleb(-places)
    expected = [float((exact / step).quantize(Decimal(1), mode) * step) + 0.0 for mode in MODES.values()]
    assert run(ROUNDING, noisy, places) == pytest.approx(expected, abs=1e-9)


@given(count=st.integers(1, 10**5), step=st.decimals(min_value="0.0001", max_value=10, places=4))
def test_a_whole_number_of_steps_stays_where_it_is(count: int, step: Decimal) -> None:
    product = float(step) * count  # with its binary noise
    ceiling, floor, nearest, _ = run(STEPPING, product, float(step))
    assert ceiling == floor == nearest == float(step * count)


@given(value=typed, step=st.decimals(min_value="0.01", max_value=100, places=2))
def test_steps_lie_on_both_sides_of_a_number(value: Decimal, step: Decimal) -> None:
    ceiling, floor, _, whole = run(STEPPING, float(value), float(step))
    assert ceiling == float((value / step).quantize(Decimal(1), ROUND_CEILING) * step) + 0.0
    assert floor == float((value / step).quantize(Decimal(1), ROUND_FLOOR) * step) + 0.0
    assert whole == float(value.quantize(Decimal(1), ROUND_FLOOR))


@given(a=typed, b=typed, c=typed.filter(bool))
def test_sums_and_products_are_those_of_the_typed_numbers(a: Decimal, b: Decimal, c: Decimal) -> None:
    total, product, ratio, column, same = run(SUMS, float(a), float(b), float(c))
    assert total == pytest.approx(float(a + b - c), rel=1e-12, abs=1e-8)
    assert product == pytest.approx(float(a * b), rel=1e-14, abs=1e-300)
    assert ratio == pytest.approx(float(a / c), rel=1e-14, abs=1e-300)
    assert column == pytest.approx(float(a + b + c), rel=1e-12, abs=1e-8)
    assert same is (a == b)


def test_a_difference_of_equal_sums_is_exactly_nothing() -> None:
    assert run(SUMS, 0.1, 0.2, 0.3)[0] == 0.0  # 5.6e-17 in binary


@settings(max_examples=30)
@given(st.lists(typed, min_size=1, max_size=6))
def test_the_same_book_gives_the_same_results_compiled_again(numbers: list[Decimal]) -> None:
    inputs: dict[str, Value] = {f"A{n}": float(v) for n, v in enumerate(numbers, start=1)}
    book = small({"B1": "SUM(A1:A6)", "B2": 'IF(B1>0,B1/A1,"none")', "B3": 'B2&"|"&COUNT(A1:A6)'}, inputs)
    first, second = compile_new(book).run(book.inputs), evaluate(book)
    assert first == second
    assert {result.status for result in first.results.values()} == {Status.EVALUATED}


def test_one_book_is_compiled_once() -> None:
    assert compile_book(small({"B7": "A1+7"})) is compile_book(small({"B7": "A1+7"}, {"A1": 5.0}))
    assert compile_book(small({"B7": "A1+7"})) is not compile_book(small({"B7": "A1+8"}))


def test_three_thousand_formulas_compile_and_run_within_bounds() -> None:
    """A guard against a slip by an order of magnitude, in processor time: bounds are ten times what was measured."""
    formulas = {}
    for row in range(1, 1001):
        formulas[f"D{row}"] = f'IF($A{row}="",0,SUMIFS(Other!$C$2:$C$13,Other!$A$2:$A$13,B{row})*C{row}/60)'
        formulas[f"E{row}"] = f"IFERROR(INDEX(Other!$C$2:$C$13,MATCH(B{row},Other!$A$2:$A$13,0)),0)"
        formulas[f"F{row}"] = f"ROUNDUP(ROUND(D{row}*E{row}/7,6),0)*0.05+SUM($D$1:$D$12)"
    book = small(formulas, {f"A{row}": float(row) for row in range(1, 1001)})
    started = time.process_time()
    program = compile_new(book)
    compiled = time.process_time()
    evaluation = program.run(book.inputs)
    finished = time.process_time()
    assert evaluation.evaluated == 3000
    assert compiled - started < 5
    assert finished - compiled < 0.15
    assert evaluation.results[Address("S", 1, 4)].value == 0.0
