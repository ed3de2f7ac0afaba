"""What a formula mentions is the same whether it was read or recognised as filled down from another.

Source of the cases: by hand; and the definition of a relative reference.
"""

from __future__ import annotations

import pytest

from quotebook.engine.book import FormulaBook, TableRange
from quotebook.engine.filled_down import row_free
from quotebook.engine.precedents import Precedents
from quotebook.values import Address

SHEETS = ("Data", "Q1 x", "Q2 x")


def _areas(formulas: dict[Address, str], cell: Address, tables: tuple[TableRange, ...] = ()) -> set[tuple[object, ...]]:
    found = Precedents(FormulaBook(SHEETS, formulas, {}, {}, tables))
    return {tuple(found.scope.areas[number])[:5] for number in found.mentions[cell].areas}


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("B5*C5", "B9*C9"),
        ("SUM(B$2:B4)", "SUM(B$2:B8)"),
        ("SUM(B$7:B5)", "SUM(B$7:B9)"),
        ("$B$2*$C5+D$1", "$B$2*$C9+D$1"),
        ("'Q1 x'!A5+Data!B6", "'Q1 x'!A9+Data!B10"),
        ("SUM(5:5)", "SUM(9:9)"),
        ("LOG10(B5)+A1B5", "LOG10(B9)+A1B5"),
        ("SUM(A:A)+B5", "SUM(A:A)+B9"),
    ],
)
def test_a_moved_formula_mentions_what_it_does_when_read_alone(first: str, second: str) -> None:
    here, there = Address("Data", 5, 6), Address("Data", 9, 6)
    together = _areas({here: first, there: second}, there)
    assert together == _areas({there: second}, there)
    assert together != set()


def test_titles_and_texts_that_look_like_moving_cells_are_no_cells() -> None:
    here, there = Address("Data", 1, 6), Address("Data", 2, 6)
    formulas = {here: "'Q1 x'!A1&\"B1\"", there: "'Q2 x'!A2&\"B2\""}
    assert _areas(formulas, there) == {("Q2 x", 2, 1, 2, 1)}


def test_a_reference_to_a_table_is_read_row_by_row() -> None:
    table = TableRange("T", "Data", 1, 1, 9, 2, columns=("Q1", "Q2"), header_rows=1, totals_rows=0)
    formulas = {Address("Data", row, 6): f"T[[#This Row],[Q{row - 1}]]" for row in (2, 3)}
    assert _areas(formulas, Address("Data", 3, 6), (table,)) == {("Data", 3, 2, 3, 2)}


def test_rows_and_columns_past_the_end_are_left_alone() -> None:
    assert row_free("XFE5+A1048577+A5", 5) == "XFE5+A1048577+A[0]"
