"""What a formula mentions is the same whether it was read or recognised as filled down from another.

Source of the cases: by hand; and the definition of a relative reference.
"""

from __future__ import annotations

import re

import pytest

from quotebook.engine import planner
from quotebook.engine.book import FormulaBook, TableRange
from quotebook.engine.filled_down import moved_down, row_free
from quotebook.engine.normal import normal_form
from quotebook.engine.parse import parse
from quotebook.engine.planner import plan_book
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


#: A formula in row 5 and the same one filled down to row 9.
FILLED = [
    ("B5*C5", "B9*C9"),
    ("B5*B$9+$C$2", "B9*B$9+$C$2"),  # two places fall together
    ("SUM(B$2:B4)*2", "SUM(B$2:B8)*2"),
    ("SUM(B$5:B5)", "SUM(B$5:B9)"),  # one cell becomes a range
    ("SUM(B$9:B5)", "SUM(B$9:B9)"),  # a range becomes one cell
    ("SUM(B$7:B5)", "SUM(B$7:B9)"),  # its ends change places
    ("SUM(B$5:B5)+SUM(B5:B$5)", "SUM(B$5:B9)+SUM(B9:B$5)"),
    ("ROW()+ROW(B5)+ROWS(B$2:B5)", "ROW()+ROW(B9)+ROWS(B$2:B9)"),
    ("SUMIF(B$2:B5,1,C$2)", "SUMIF(B$2:B9,1,C$2)"),
    ("SUMIF(B4:B5,1,C4:C5)", "SUMIF(B8:B9,1,C8:C9)"),
    ("AVERAGEIF(B$2:B$4,B5,C$2:C3)", "AVERAGEIF(B$2:B$4,B9,C$2:C7)"),
    ("@B$2:B$9+1", "@B$2:B$9+1"),  # the cell of the own row is meant
    ("SUM('Q1 x'!5:5)", "SUM('Q1 x'!5:5)"),
    ("SUM('Q1 x'!5:5)", "SUM('Q1 x'!9:9)"),
    ("SUBTOTAL(9,B2:B5)", "SUBTOTAL(9,B6:B9)"),
    ("IF(B5>0,INDEX(C$2:C$9,B5),-B5%)", "IF(B9>0,INDEX(C$2:C$9,B9),-B9%)"),
    ("rate*B5", "rate*B9"),
    ('-2.5^B5&"B5"', '-2.5^B9&"B5"'),
]


def _planned(formulas: dict[Address, str], cell: Address) -> tuple[object, ...]:
    """Return what is computed for a cell, with places told by what they are."""
    names = {(None, "rate"): "Data!$Z$1"}
    plan = plan_book(FormulaBook(SHEETS, formulas, {}, names))
    number = next(n for n, cells in enumerate(plan.cells) if cell in cells)
    step = next(step for step in plan.steps if step.number == number)
    template = plan.templates[step.template]
    source = re.sub(r"\bk\d+", lambda match: repr(plan.constants[match[0]]), template.source)
    places = [plan.slots[place - 1] if place > 0 else plan.areas[-1 - place][:5] for place in step.places]
    needs = {node - len(plan.cells) for node in plan.precedents[number]}
    return template.kind, source, places, sorted(plan.areas[area][:5] for area in needs if area >= 0)


@pytest.mark.parametrize(("first", "second"), FILLED)
def test_a_moved_formula_is_compiled_as_when_read_alone(first: str, second: str) -> None:
    here, there = Address("Data", 5, 6), Address("Data", 9, 6)
    assert _planned({here: first, there: second}, there) == _planned({there: second}, there)
    assert _planned({there: second, here: first}, here) == _planned({here: first}, here)


@pytest.mark.parametrize(("first", "second"), FILLED)
def test_a_moved_tree_and_a_moved_normal_form_are_those_of_the_text(first: str, second: str) -> None:
    if row_free(first, 5) == row_free(second, 9):
        assert moved_down(parse(first), 4) == parse(second)
        assert moved_down(parse(second), -4) == parse(first)
        assert normal_form(first, Address("Data", 5, 6)) == normal_form(second, Address("Data", 9, 6))
    else:
        assert "5:5" in first


def test_most_filled_formulas_are_not_read_again(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []

    def reading(formula: str) -> object:
        read.append(formula)
        return parse(formula)

    monkeypatch.setattr(planner, "parse", reading)
    plan_book(FormulaBook(SHEETS, {Address("Data", row, 6): f"B{row}*C$1" for row in range(2, 40)}, {}))
    assert read == ["B2*C$1"]


def test_whole_rows_in_one_text_are_the_same_rows_wherever_it_stands() -> None:
    here, there = Address("Data", 5, 6), Address("Data", 9, 6)
    assert _areas({here: "SUM(2:3)", there: "SUM(2:3)"}, there) == {("Data", 2, 1, 3, 16384)}
    assert normal_form("SUM(2:3)", here) != normal_form("SUM(2:3)", there)
