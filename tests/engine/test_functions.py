"""Every function against its table of cases."""

from __future__ import annotations

import math

import pytest

from quotebook.engine import Result, Status, evaluate
from quotebook.engine.registry import functions
from quotebook.engine.special import FORMS
from quotebook.values import Value
from tests.engine.tables import FAMILIES, Case, case_book, cases


def same(result: Value, expected: Value, near: float) -> bool:
    """Exactly the same kind, numbers within a share."""
    if type(result) is not type(expected):
        return False
    if isinstance(result, float) and isinstance(expected, float):
        return math.isclose(result, expected, rel_tol=near)  # an expected 0 must be 0
    return result == expected


def results(family: str) -> list[tuple[Case, Result]]:
    book, placed = case_book(family)
    evaluation = evaluate(book)
    return [(case, evaluation.results[cell]) for cell, case in placed.items()]


@pytest.mark.parametrize("family", FAMILIES)
def test_each_formula_gives_the_answer_of_its_case(family: str) -> None:
    answers = results(family)
    assert len(answers) >= 12
    wrong = [
        f"{case.formula}: {result.value!r} {result.reason}, expected {case.expected!r} ({case.source})"
        for case, result in answers
        if result.status is not Status.EVALUATED or not same(result.value, case.expected, case.near)
    ]
    assert not wrong, "\n".join(wrong)


def test_every_allowed_function_has_a_case() -> None:
    formulas = " ".join(case.formula for family in FAMILIES for case in cases(family))
    # TODAY and NOW change from day to day; they are tested with a fixed moment in test_volatile.py.
    missing = [name for name in {*functions(), *FORMS} - {"TODAY", "NOW"} if f"{name}(" not in formulas]
    assert not missing
