"""The page of functions says what the tests show, and its limits are real."""

from __future__ import annotations

import pytest

from quotebook.engine import Status, evaluate
from quotebook.engine.registry import functions
from quotebook.engine.special import FORMS
from quotebook.values import Address, column_letters
from tests.engine.function_page import COMMON, LIMITS, PAGE, WHY, page
from tests.engine.tables import COLUMN, book


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python -m tests.engine.function_page"


@pytest.mark.parametrize("name", sorted(LIMITS))
def test_each_limit_is_said_and_not_swallowed(name: str) -> None:
    formula = LIMITS[name][1]
    assert name in formula
    cells = [Address("Data", 300 + n, COLUMN) for n in range(2)]
    found = evaluate(book({cells[0]: formula, cells[1]: f"IFERROR({formula},0)"})).results
    for cell in cells:
        assert found[cell].status is not Status.EVALUATED, found[cell]
        assert "engine failed" not in found[cell].reason


@pytest.mark.parametrize("name", sorted(WHY))
def test_a_missing_function_is_named_and_its_dependants_are_unknown(name: str) -> None:
    cells = [Address("Data", 300 + n, COLUMN) for n in range(3)]
    dependant = f"Data!{column_letters(COLUMN)}300"
    found = evaluate(book({cells[0]: WHY[name][1], cells[1]: f"IFERROR({dependant},0)", cells[2]: "1+1"})).results
    assert found[cells[0]].status is Status.NOT_EVALUATED
    assert name in found[cells[0]].reason
    assert found[cells[1]].status is Status.DEPENDS_ON_NOT_EVALUATED
    assert found[cells[2]].value == 2.0


def test_sixty_common_functions_are_listed_and_nearly_all_are_supported() -> None:
    assert len(COMMON) == len(set(COMMON)) == 60
    assert {name for name in COMMON if name not in {*functions(), *FORMS}} == {"OFFSET", "INDIRECT"}
