"""Cells, ranges, whole columns, names, tables and array formulas."""

from __future__ import annotations

import string

import pytest

from quotebook.engine import Status, TableRange, compile_book, evaluate
from quotebook.engine.tokens import FormulaTrouble, tokenize
from quotebook.values import ErrorValue, Value
from tests.engine.small import at, results, small, values

OPS = TableRange("Ops", "S", 1, 1, 5, 3, ("Name", "Cost", "It's [odd]"), header_rows=1, totals_rows=1)
OPS_INPUTS: dict[str, Value] = {
    "A1": "Name", "B1": "Cost", "C1": "It's [odd]",
    "A2": "mill", "B2": 10.0, "C2": 1.0,
    "A3": "turn", "B3": 20.0, "C3": 2.0,
    "A4": "saw", "B4": 30.0, "C4": 3.0,
    "A5": "Total",
}  # fmt: skip


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        ("SUM(Ops[Cost])", 60.0),
        ("SUM(ops[COST])", 60.0),
        ("SUM(Ops[[Cost]:[It's [odd]]])", None),
        ("SUM(Ops[[Cost]:[It''s '[odd']]])", 66.0),
        ("SUM(Ops[It''s '[odd']])", 6.0),
        ("COUNTA(Ops)", None),
        ("COUNTA(Ops[])", 9.0),
        ("COUNTA(Ops[#All])", 13.0),
        ("COUNTA(Ops[[#All],[Name]])", 5.0),
        ("COUNTA(Ops[#Headers])", 3.0),
        ("Ops[[#Headers],[Cost]]", "Cost"),
        ("COUNTA(Ops[[#Headers],[#Data],[Name]])", 4.0),
        ("Ops[[#Totals],[Name]]", "Total"),
        ("SUM(Ops[#Data])", 66.0),
        ("Ops[Nothing]", None),
    ],
)
def test_table_references(formula: str, expected: float | str | None) -> None:
    found = results({"H9": formula}, OPS_INPUTS, tables=(OPS,))["H9"]
    if formula == "COUNTA(Ops)":  # a table's bare name is no defined name of ours: an unknown name, not a guess
        assert found.value is not None
    elif expected is None:
        assert found.status is Status.NOT_EVALUATED
    else:
        assert found.value == expected


@pytest.mark.parametrize(
    "formula", ["Ops[[#This Row],[Cost]]*2", "Ops[@Cost]*2", "[@Cost]*2", "[[#This Row],[Cost]]*2"]
)
def test_this_row_of_a_table(formula: str) -> None:
    inputs = {cell: value for cell, value in OPS_INPUTS.items() if cell != "C3"}
    assert values({"C3": formula}, inputs, tables=(OPS,)) == {"C3": 40.0}


def test_this_row_outside_of_the_table_is_not_evaluated() -> None:
    assert results({"H9": "Ops[@Cost]"}, OPS_INPUTS, tables=(OPS,))["H9"].status is Status.NOT_EVALUATED


def test_names_of_a_sheet_hide_those_of_the_workbook() -> None:
    names = {(None, "rate"): "10", ("Other", "Rate"): "20", (None, "double_rate"): "rate*2"}
    found = values({"A1": "RATE", "Other!A1": "rate", "A2": "Other!rate", "A3": "Double_Rate"}, names=names)
    assert found == {"A1": 10.0, "Other!A1": 20.0, "A2": 20.0, "A3": 20.0}


def test_a_name_that_holds_itself_or_a_relative_reference_is_not_evaluated() -> None:
    names = {(None, "loop"): "loop2+1", (None, "loop2"): "loop", (None, "drift"): "S!A1", (None, "bare"): "$A$1"}
    found = results({f"B{n}": name for n, name in enumerate(["loop", "drift", "bare"], start=1)}, names=names)
    assert {result.status for result in found.values()} == {Status.NOT_EVALUATED}
    assert "relative" in found["B2"].reason


def test_a_range_where_one_value_is_wanted_means_the_own_row_or_column() -> None:
    inputs = {"A1": 1.0, "A2": 2.0, "A3": 3.0}
    found = values({"B2": "A1:A3*10", "B9": "A1:A3*10", "C2": "@A1:A3", "D2": "A:A", "E2": "A2:C2"}, inputs)
    assert found["B2"] == 20.0
    assert found["B9"] is ErrorValue.VALUE
    assert found["C2"] == 2.0
    assert found["D2"] == 2.0
    assert found["E2"] is ErrorValue.VALUE


def test_whole_columns_and_rows_follow_the_inputs_of_each_run() -> None:
    formulas = {"C1": "SUM(A:A)", "C2": "COUNTBLANK(A:A)", "C3": 'SUMIFS(B:B,A:A,">1")', "C5": 'COUNTIF(A:A,"")'}
    book = small({**formulas, "Other!C4": "SUM(S!9:9)"}, {"A1": 1.0})
    program = compile_book(book)
    more = {at("A1"): 1.0, at("A700"): 5.0, at("B700"): 7.0, at("A9"): 3.0, at("B9"): 4.0}
    first, second = program.run(book.inputs).results, program.run(more).results
    assert first[at("C1")].value == 1.0
    assert [second[at(cell)].value for cell in ("C1", "C3", "Other!C4")] == [9.0, 11.0, 7.0]
    assert second[at("C2")].value == second[at("C5")].value == 1_048_576.0 - 3


def test_an_unused_corner_of_a_huge_range_costs_nothing() -> None:
    found = values({"C1": "SUM(Other!A1:XFD1048576)", "C2": "COUNTA(Other!A:XFD)"}, {"Other!B2": 3.0})
    assert found == {"C1": 3.0, "C2": 1.0}


def test_a_huge_range_in_use_is_refused() -> None:
    found = results({"C1": "SUM(Other!A:XFD)"}, {"Other!XFD1": 3.0, "Other!A1048576": 1.0})["C1"]
    assert found.status is Status.NOT_EVALUATED
    assert "too large" in found.reason


def test_an_array_formula_fills_its_cells() -> None:
    book = small(
        {"C1": "A1:A2*{1,10}", "E1": "SUM(C1:D3)", "E2": "D2"}, {"A1": 1.0, "A2": 2.0}, arrays={at("C1"): at("D3")}
    )
    found = evaluate(book).results
    grid = [[found[at(f"{column}{row}")].value for column in "CD"] for row in (1, 2, 3)]
    assert grid == [[1.0, 10.0], [2.0, 20.0], [ErrorValue.NA, ErrorValue.NA]]
    assert found[at("E1")].value is ErrorValue.NA
    assert found[at("E2")].value == 20.0


def test_a_loop_through_an_array_formula_is_found() -> None:
    book = small({"C1": "A1:A2*1", "A1": "C2"}, arrays={at("C1"): at("C2")})
    found = evaluate(book).results
    assert {found[at(cell)].status for cell in ("C1", "C2", "A1")} == {Status.NOT_EVALUATED}


def test_formulas_are_computed_in_the_order_of_need() -> None:
    assert values({"A1": "B1+1", "B1": "SUM(C1:C3)", "C2": "D1*2", "D1": "3"})["A1"] == 7.0


def test_sheets_are_found_without_regard_to_capitals_and_missing_ones_are_an_error() -> None:
    found = values({"A1": "OTHER!B1", "A2": "Nowhere!B1", "A3": "'other'!B1"}, {"Other!B1": 4.0})
    assert found == {"A1": 4.0, "A2": ErrorValue.REF, "A3": 4.0}


def test_subtotals_skip_each_other_and_hidden_rows() -> None:
    inputs = {"A1": 1.0, "A2": 2.0, "A4": 4.0}
    formulas = {"A3": "SUBTOTAL(9,A1:A2)", "A5": "SUBTOTAL(9,A1:A4)", "B1": "SUBTOTAL(109,A1:A4)", "B2": "SUM(A1:A4)"}
    found = values(formulas, inputs)
    assert found == {"A3": 3.0, "A5": 7.0, "B1": 7.0, "B2": 10.0}
    formulas = {"B1": "SUBTOTAL(109,A1:A4)", "B2": "SUBTOTAL(9,A1:A4)", "B3": "SUBTOTAL(9,A3:A4)"}
    hidden = results(formulas, inputs, hidden_rows={"S": frozenset({2})})
    assert hidden["B1"].value == 5.0
    assert hidden["B2"].status is Status.NOT_EVALUATED, "a filter's hidden rows cannot be told from others"
    assert hidden["B3"].value == 4.0


def test_the_1904_date_system_shifts_dates() -> None:
    found = values(
        {"A1": "DATE(2024,5,31)", "A2": "YEAR(A1)", "A3": 'TEXT(A1,"yyyy-mm-dd")', "A4": "WEEKDAY(A1)"}, date1904=True
    )
    assert found == {"A1": 43981.0, "A2": 2024.0, "A3": "2024-05-31", "A4": 6.0}  # 45443 - 1462, by hand


def test_an_input_that_a_formula_names_singly_may_be_blank_or_filled_later() -> None:
    program = compile_book(small({"B1": 'IF(A1="","empty",A1*2)'}))
    assert program.run({}).results[at("B1")].value == "empty"
    assert program.run({at("A1"): 2.0}).results[at("B1")].value == 4.0
    assert program.run({at("A1"): 3}).results[at("B1")].value == 6.0  # whole numbers are numbers


def test_letters_of_names_are_those_of_the_format() -> None:
    """A name begins with a letter, an underscore or a backslash; beyond ASCII everything counts as a letter here."""
    letters = {chr(code) for code in range(33, 128) if _is_name(chr(code))}
    assert letters == set(string.ascii_letters) | {"_", "\\"}
    assert all(_is_name(chr(code)) for code in (0x80, 0xC4, 0x3B1, 0x4E2D, 0xFFFF, 0x1F600, 0x10FFFF))


def _is_name(letter: str) -> bool:
    try:
        return [token.kind for token in tokenize(f"{letter}x")] == ["name"]
    except FormulaTrouble:
        return False
