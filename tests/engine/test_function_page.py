"""The page of functions says what the tests show, and its limits are real."""

from __future__ import annotations

import pytest

from quotebook.engine import Status, evaluate
from quotebook.engine.registry import functions
from quotebook.engine.special import FORMS
from quotebook.values import Address
from tests.engine.function_page import COMMON, LIMITS, PAGE, page
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


def test_sixty_common_functions_are_listed_and_supported() -> None:
    assert len(COMMON) == len(set(COMMON)) == 60
    assert {*COMMON} <= {*functions(), *FORMS}
