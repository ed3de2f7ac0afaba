"""What cannot be evaluated is said to be so, with its reason, and so is everything that depends on it."""

from __future__ import annotations

import pytest

from quotebook.engine import Program, Status, compile_book, evaluate
from quotebook.engine.registry import functions
from quotebook.values import Address, ErrorValue
from tests.engine.small import NOON, at, results, small, values

NOT, DEPENDS, DONE = Status.NOT_EVALUATED, Status.DEPENDS_ON_NOT_EVALUATED, Status.EVALUATED


@pytest.mark.parametrize(
    ("formula", "named"),
    [
        ("OFFSET(A1,A2,A3)", "beforehand nobody can tell"),
        ("OFFSET(B1,A1,0)", "beforehand nobody can tell"),
        ("OFFSET(INDEX(A1:A3,2),1,0)", "something computed where it needs a reference"),
        ("SUM(OFFSET(A3,0,0,-2,1))", "negative height"),
        ("SUM(OFFSET(A3,0,0,A1-9,1))", "negative height"),
        ("OFFSET(A1,1)", "OFFSET takes 3 to 5 arguments, found 2"),
        ("INDIRECT(A1)", "put together while calculating"),
        ('INDIRECT(A1&"!B2")', "put together while calculating"),
        ('INDIRECT("R1C1",FALSE)', "only for addresses such as B7"),
        ('INDIRECT("A"&"1:A"&A2)', "put together while calculating"),
        ('INDIRECT("C"&A2&":C9")', "put together while calculating"),
        ("_xlfn.LET(x,1,x)", "the function LET is not supported"),
        ("_xlfn._xlws.FILTER(A1:A3,A1:A3>1)", "the function FILTER is not supported"),
        ("CUBEVALUE(1)", "the function CUBEVALUE is not supported"),
        ("IFERROR(RAND(),0)", "the function RAND is not supported"),
        ("[1]Rates!A1*2", "link to another workbook"),
        ("'[Rates.xlsx]Rates'!A1", "link to another workbook"),
        ("'C:\\files\\[Rates.xlsx]Rates'!A1", "link to another workbook"),
        ("SUM(S:Other!A1)", "over several sheets"),
        ("SUM('S:Other'!A1)", "over several sheets"),
        ("A1:A3 A2:C2", "intersection"),
        ("SUM((A1,A3))", "union"),
        ("SUM(A1#)", "spill"),
        ("SUM(A1:INDEX(A1:A9,3))", "corner is computed"),
        ("A1+", "stands where a value is expected"),
        ("SUM(A1", "stands where ',' or ')' is expected"),
        ("A1)", "stands where the formula should end"),
        ("A1 B1", "intersection"),
        ("5 5", "intersection"),
        ("?", "cannot be read"),
        ('"open', "cannot be read"),
        ("ROUND(1)", "ROUND takes 2 arguments, found 1"),
        ("ROUND(1,2,3)", "ROUND takes 2 arguments, found 3"),
        ("IF(1)", "IF takes 2 to 3 arguments, found 1"),
        ("SUMIFS(A1:A3,A1:A3)", "SUMIFS takes 3 or more arguments, found 2"),
        ("SUMIF({1,2},1)", None),
        ('SUMIF("x",1)', "computed value where it needs a range"),
        ("NoTable[Cost]", "no table"),
        ("(" * 200 + "1" + ")" * 200, "nested more than"),
        ("-" * 300 + "1", "nested more than"),
        ("IF(1," * 120 + "1" + ",0)" * 120, "nested more than"),
        ("SUMPRODUCT(IF(A1:A3>1,1,0))", "programs differ"),
        ("SUBTOTAL(A1,A1:A3)", "written number"),
        ("ROW(INDEX(A1:A3,1))", "needs a reference"),
    ],
)
def test_an_unsupported_formula_is_named(formula: str, named: str | None) -> None:
    result = results({"B1": formula})["B1"]
    if named is None:
        assert result.status is DONE
        return
    assert result.status is NOT
    assert result.value is None
    assert named in result.reason


@pytest.mark.parametrize(
    ("formula", "named"),
    [
        ('TEXT(5,"# ?/?")', "number format"),
        ('TEXT(5,"[>3]0")', "number format"),
        ('TEXT(45443,"[$-407]mmmm")', "another language"),
        ('"1/2/2024"+0', "language"),
        ('"$5"*1', "language"),
        ('DATEVALUE("5/31/24")', "language"),
        ("MATCH(2,A1:A3)", "not in order"),
        ("VLOOKUP(2,A1:A3,1)", "not in order"),
        ('COUNTIF(A1:A3,"1/2")', "language"),
        ("INDEX(A1:B3,2,0)+1", "one value is wanted"),
        ("MOD(0.3,0.1)", "last binary digit"),
    ],
)
def test_what_cannot_be_computed_at_run_time_is_named_and_reaches_its_dependants(formula: str, named: str) -> None:
    found = results(
        {"D1": formula, "D2": f"IFERROR({formula},0)", "D3": "IFERROR(D1,0)", "D4": "IF(TRUE,1,D1)", "D5": "1+1"},
        {"A1": 3.0, "A2": 1.0, "A3": 2.0},
    )
    assert found["D1"].status is NOT
    assert named in found["D1"].reason
    assert "the engine failed" not in found["D1"].reason
    assert found["D2"].status is NOT, "IFERROR must never catch our own inability"
    for cell in ("D3", "D4"):
        assert found[cell].status is DEPENDS
        assert found[cell].reason.startswith("depends on S!D1: ")
    assert found["D5"].value == 2.0


def test_deep_nesting_is_computed_or_refused_and_never_breaks_the_book() -> None:
    """Python itself allows 200 open brackets in one expression, and each function here takes up to three."""
    deep = dict.fromkeys(("IFERROR", "IF", "ABS", "VLOOKUP", "XLOOKUP", "ISERROR", "INDEX", "SWITCH"), 85)
    ends = {"IFERROR": ",0)", "IF": ",1,0)", "VLOOKUP": ",A1:B1,1,0)", "XLOOKUP": ",A1:B1,A2:B2)", "SWITCH": ",1,1)"}
    formulas = {
        f"C{row}": f"{name}(" * count + "1" + ends.get(name, ")") * count
        for row, (name, count) in enumerate(deep.items(), start=1)
    }
    formulas["C7"] = "INDEX(A1:A9," * 85 + "1" + ")" * 85
    found = results(
        {**formulas, "D1": "1+1", "D2": "+".join(["A1"] * 3000), "D3": "A1&" * 2000 + "1"}, {"A1": 1.0, "A2": 1.0}
    )
    assert found["D1"].value == 2.0
    assert found["D2"].value == 3000.0
    assert found["D3"].value == "1" * 2001
    assert found["C5"].reason == "nested too deep"
    for cell in ("C1", "C2", "C3", "C4", "C6", "C7", "C8"):
        assert found[cell].status is DONE or found[cell].reason == "nested too deep"


def test_a_reason_travels_through_ranges_untaken_branches_and_sheets() -> None:
    found = results(
        {
            "B2": "NOPE(1)",
            "C1": "SUM(B1:B3)",
            "C2": "IF(FALSE,B2,7)",
            "C3": "COUNTA(B:B)",
            "Other!A1": "S!C1*2",
            "C4": "ROWS(B1:B3)",
            "C5": "SUM(B3:B9)",
        }
    )
    assert found["B2"].status is NOT
    for cell in ("C1", "C2", "C3", "Other!A1"):
        assert found[cell].status is DEPENDS
        assert found[cell].reason == "depends on S!B2: the function NOPE is not supported"
    assert found["C4"].value == 3.0, "ROWS looks at the reference and not at its cells"
    assert found["C5"].value == 0.0


def test_a_second_trouble_behind_a_first_is_a_dependant() -> None:
    found = results({"A1": 'TEXT(1,"?")', "A2": 'TEXT(A1&1,"?")', "A3": "A2&1"})
    assert [found[cell].status for cell in ("A1", "A2", "A3")] == [NOT, DEPENDS, DEPENDS]
    assert found["A3"].reason.startswith("depends on S!A1: ")


def test_a_run_time_trouble_comes_and_goes_with_the_inputs() -> None:
    book = small({"B1": "A1+1", "B2": "B1*2"}, {"A1": "1/2/2024"})
    program = compile_book(book)
    assert program.run(book.inputs).results[at("B2")].status is DEPENDS
    assert program.run({at("A1"): 4.0}).results[at("B2")].value == 10.0
    assert program.run(book.inputs).results[at("B1")].status is NOT


def test_cells_that_are_neither_formula_nor_constant_are_not_evaluated() -> None:
    book = small({"B1": "A1+1"}, opaque={at("A1"): "a data table"})
    found = evaluate(book).results
    assert (found[at("A1")].status, found[at("A1")].reason) == (NOT, "a data table")
    assert found[at("B1")].status is DEPENDS


def test_a_cell_in_a_loop_names_the_path() -> None:
    found = results({"A1": "B1+1", "B1": "C1*2", "C1": "A1", "D1": "A1", "E1": "IFERROR(D1,0)", "F1": "2"})
    assert found["A1"].reason == "circular reference: S!A1 -> S!B1 -> S!C1 -> S!A1"
    assert found["C1"].reason == "circular reference: S!C1 -> S!A1 -> S!B1 -> S!C1"
    assert {found[cell].status for cell in ("A1", "B1", "C1")} == {NOT}
    assert {found[cell].status for cell in ("D1", "E1")} == {DEPENDS}
    assert found["F1"].value == 2.0


def test_a_sum_over_itself_is_a_loop_and_a_row_number_is_not() -> None:
    found = results({"A4": "SUM(A1:A4)", "B4": "ROW(B4)+ROWS(B$1:B4)", "C1": "SUM(C:C)", "D1": "D1"})
    assert found["A4"].reason == "circular reference: S!A4 -> S!A4"
    assert found["C1"].reason == "circular reference: S!C1 -> S!C1"
    assert found["D1"].reason == "circular reference: S!D1 -> S!D1"
    assert found["B4"].value == 8.0


def test_a_loop_through_an_untaken_branch_is_still_a_loop() -> None:
    found = results({"A1": "IF(TRUE,1,B1)", "B1": "A1"})
    assert {result.status for result in found.values()} == {NOT}


def test_two_loops_are_told_apart() -> None:
    found = results({"A1": "A2", "A2": "A1", "B1": "B2+A1", "B2": "B1"})
    assert found["A1"].reason == "circular reference: S!A1 -> S!A2 -> S!A1"
    assert found["B2"].reason == "circular reference: S!B2 -> S!B1 -> S!B2"


def test_a_long_chain_and_a_long_loop_do_not_exhaust_the_stack() -> None:
    count = 5000
    chain = {f"A{row}": f"A{row - 1}+1" for row in range(2, count + 1)}
    assert values(chain, {"A1": 1.0})[f"A{count}"] == count
    found = results({**chain, "A1": f"A{count}"})
    assert {result.status for result in found.values()} == {NOT}


def test_taking_a_function_from_the_list_makes_its_whole_cone_unknown(monkeypatch: pytest.MonkeyPatch) -> None:
    formulas = {"B1": "ROUND(A1,0)", "B2": "B1+1", "B3": "IFERROR(B2,0)", "C1": "A1"}
    assert {r.status for r in results(formulas, {"A1": 1.5}).values()} == {DONE}
    monkeypatch.delitem(functions(), "ROUND")
    # Another input cell makes another book of the same formulas; names are part of what is compiled.
    found = results(formulas, {"A1": 1.5}, names={(None, "unused"): "1"})
    assert [found[cell].status for cell in ("B1", "B2", "B3", "C1")] == [NOT, DEPENDS, DEPENDS, DONE]
    assert "ROUND" in found["B3"].reason


def test_results_already_in_the_file_cannot_be_passed_on() -> None:
    """A value given for a formula cell is ignored, and an unsupported formula does not fall back on it."""
    book = small({"B1": "A1*2", "B2": "NOPE(1)", "B3": "SUM(B1:B2)"}, {"A1": 2.0})
    poisoned = {**book.inputs, **{at(cell): 987654321.5 for cell in ("B1", "B2", "B3")}}
    clean, dirty = compile_book(book).run(book.inputs), compile_book(book).run(poisoned)
    assert clean == dirty
    assert clean.results[at("B1")].value == 4.0
    assert clean.results[at("B2")].value is None


def test_poison_in_an_open_range_is_ignored_too() -> None:
    book = small({"A2": "1+1", "B1": "SUM(A:A)"}, {"A1": 2.0})
    assert compile_book(book).run({**book.inputs, at("A2"): 987654321.5}).results[at("B1")].value == 4.0


def test_volatile_results_and_their_dependants_are_marked() -> None:
    found = results(
        {"A1": "TODAY()", "A2": "A1+1", "A3": "SUM(A1:A2)", "A4": "1", "A5": "NOW()", "A6": "IF(TRUE,1,A1)"}
    )
    assert [found[f"A{row}"].volatile for row in range(1, 7)] == [True, True, True, False, True, True]
    assert found["A2"].value == 45444.0  # the day after 2024-05-31, by hand
    assert found["A5"].value == 45443.5
    assert NOON.hour == 12


def test_every_formula_cell_gets_a_result() -> None:
    book = small({"A1": "1", "A2": "NOPE()", "A3": "A3", "A4": "A2", "A5": "(("}, arrays={at("A1"): at("B2")})
    found = evaluate(book).results
    expected = {at(cell) for cell in ("A1", "B1", "A2", "B2", "A3", "A4", "A5")}
    assert set(found) == expected


def test_nothing_of_a_formula_reaches_the_generated_source() -> None:
    marks = ["zz_name", "zz text", "__import__", "12345.678"]
    book = small(
        {"A1": 'IF("zz text"="__import__(\'os\')",12345.678,zz_name)&"\\n\'\'\'+exit()"'},
        names={(None, "zz_name"): "3"},
    )
    program: Program = compile_book(book)
    assert program.source
    assert not [mark for mark in (*marks, "exit") if mark in program.source]
    assert program.run({}).results[Address("S", 1, 1)].value == "3\\n'''+exit()"


def test_errors_are_values_and_not_inabilities() -> None:
    found = values({"A1": "1/0", "A2": "A1+1", "A3": 'IFERROR(A2,"caught")', "A4": "NoName"})
    assert found["A2"] is ErrorValue.DIV0
    assert found["A3"] == "caught"
    assert found["A4"] is ErrorValue.NAME
