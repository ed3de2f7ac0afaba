"""Formulas that span several cells: shared, array, what-if table."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.formula.translate import Translator

from quotebook.errors import UnsafeWorkbook
from quotebook.values import column_letters
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.shared_formulas import MovableFormula, TextBudget, move_formula
from quotebook.workbook.snapshot import Cell
from tests.workbook.raw import raw_book

# By hand, after the rules for relative and absolute references in ECMA-376 part 1, 18.17.2.
MOVED_ONE_DOWN_ONE_RIGHT = [
    ("A1+$A1+A$1+$A$1", "B2+$A2+B$1+$A$1"),
    ("LOG10(A1)", "LOG10(B2)"),
    ("LOG10 (A1)", "LOG10 (B2)"),
    ("'It''s A1'!B2+Sheet1!A1:B2", "'It''s A1'!C3+Sheet1!B2:C3"),
    ("Q1:Q4!B2", "Q1:Q4!C3"),
    ("'Q1:Q4'!B2", "'Q1:Q4'!C3"),
    ("SUM(A:B,$A:B,1:3,$1:3)", "SUM(B:C,$A:C,2:4,$1:4)"),
    ('"A1"&A1&"say ""A1"""', '"A1"&B2&"say ""A1"""'),
    ("Tab[[#This Row],[A1]]+A1#", "Tab[[#This Row],[A1]]+B2#"),
    ("Tab[A1 '[B2']]+A1", "Tab[A1 '[B2']]+B2"),
    ("[1]Sheet1!A1", "[1]Sheet1!B2"),
    ("'[Book A1.xlsx]B1'!A1", "'[Book A1.xlsx]B1'!B2"),
    ("1E5+E5", "1E5+F6"),
    (".5E3+A1", ".5E3+B2"),
    ("Q1.total+A1_x+XFE1+A1048577", "Q1.total+A1_x+XFE1+A1048577"),
    ("#REF!+Sheet1!#REF!+A1", "#REF!+Sheet1!#REF!+B2"),
    ("A1:INDEX(A:A,3)", "B2:INDEX(B:B,3)"),
    ("TRUE+@A1%", "TRUE+@B2%"),
    ("a1+Ä1+\\A1", "B2+Ä1+\\A1"),
    ("_xlfn.STDEV.S(A1)", "_xlfn.STDEV.S(B2)"),
    ("rate1:A1", "rate1:B2"),
    ("A1:B2 B1:C3", "B2:C3 C2:D4"),
    ("XFD1", "#REF!"),
    ("{1,2;3,4}*A1", "{1,2;3,4}*B2"),
    ("IF(A1<>0,A1/B1,\n NA())", "IF(B2<>0,B2/C2,\n NA())"),
]


@pytest.mark.parametrize(("text", "expected"), MOVED_ONE_DOWN_ONE_RIGHT)
def test_moved(text: str, expected: str) -> None:
    assert move_formula(text, 1, 1) == expected


def test_reference_above_the_sheet_is_lost() -> None:
    assert move_formula("A1+A5+$A$1", -2, 0) == "#REF!+A3+$A$1"


@pytest.mark.parametrize("text", [text for text, _ in MOVED_ONE_DOWN_ONE_RIGHT])
def test_not_moved_is_unchanged(text: str) -> None:
    assert move_formula(text, 0, 0).upper() == text.upper()


_references = st.builds(
    lambda fixed_column, column, fixed_row, row: f"{fixed_column}{column_letters(column)}{fixed_row}{row}",
    st.sampled_from(["", "$"]),
    st.integers(1, 16_000),
    st.sampled_from(["", "$"]),
    st.integers(1, 1_000_000),
)
_pieces = st.one_of(
    _references,
    st.builds(lambda first, last: f"SUM({first}:{last})", _references, _references),
    st.sampled_from(
        ["1.5", "LOG10(3)", '"A1 ""B2"""', "'My A1'!B2", "Sheet2!$C$7", "TRUE", "#N/A", "SUM(A:C)", "Rate"]
    ),
)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(_pieces, min_size=1, max_size=5),
    st.sampled_from(["+", "*", "&", "<="]),
    st.integers(0, 200),
    st.integers(0, 200),
)
def test_agrees_with_openpyxl(pieces: list[str], operator: str, rows: int, columns: int) -> None:
    """Source: openpyxl's Translator, an independent program for the same job."""
    text = operator.join(pieces)
    target = f"{column_letters(1 + columns)}{1 + rows}"
    assert move_formula(text, rows, columns) == Translator(f"={text}", "A1").translate_formula(target)[1:]


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet="A1$:!'\"[]#().,+ bZé\\", max_size=40), st.integers(-3, 3), st.integers(-3, 3))
def test_any_text_can_be_moved_and_zero_changes_nothing(text: str, rows: int, columns: int) -> None:
    formula = MovableFormula(text)
    formula.moved(rows, columns)
    assert formula.moved(0, 0).upper() == text.upper()


def cells_of(tmp_path: Path, rows: str) -> dict[tuple[int, int], Cell]:
    return dict(read_snapshot(raw_book(tmp_path / "book.xlsx", rows)).sheets[0].cells)


def test_shared_formula_is_written_out_for_each_cell(tmp_path: Path) -> None:
    rows = (
        '<row r="1"><c r="B1"><f t="shared" ref="B1:B3" si="0">A1*$D$1</f><v>1</v></c></row>'
        '<row r="2"><c r="B2"><f t="shared" si="0"/><v>2</v></c></row>'
        '<row r="3"><c r="B3"><f t="shared" si="0"></f></c></row>'
    )
    cells = cells_of(tmp_path, rows)
    assert [cells[(row, 2)].formula for row in (1, 2, 3)] == ["A1*$D$1", "A2*$D$1", "A3*$D$1"]
    assert [cells[(row, 2)].value for row in (1, 2, 3)] == [1.0, 2.0, None]


def test_number_of_a_shared_formula_used_again(tmp_path: Path) -> None:
    """Measured on public files: programs use a number again; the latest first cell counts. From memory."""
    rows = (
        '<row r="1"><c r="A1"><f t="shared" ref="A1:B1" si="0">C1</f></c><c r="B1"><f t="shared" si="0"/></c></row>'
        '<row r="2"><c r="A2"><f t="shared" ref="A2:B2" si="0">C9</f></c><c r="B2"><f t="shared" si="0"/></c></row>'
    )
    cells = cells_of(tmp_path, rows)
    assert (cells[(1, 2)].formula, cells[(2, 2)].formula) == ("D1", "D9")


def test_first_cell_after_its_followers(tmp_path: Path) -> None:
    rows = (
        '<row r="3"><c r="A3"><f t="shared" si="4"/></c></row>'
        '<row r="1"><c r="A1"><f t="shared" ref="A1:A3" si="4">B1</f></c></row>'
    )
    assert cells_of(tmp_path, rows)[(3, 1)].formula == "B3"


def test_follower_without_first_cell_is_not_a_constant(tmp_path: Path) -> None:
    cell = cells_of(tmp_path, '<row r="1"><c r="A1"><f t="shared" si="4"/><v>7</v></c></row>')[(1, 1)]
    assert (cell.formula, cell.kind) == (None, "sharedWithoutFirst")


def test_blow_up_of_shared_formulas_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(TextBudget.__init__, "__defaults__", (10_000,))
    long = "+".join(["A1"] * 200)
    rows = f'<row r="1"><c r="B1"><f t="shared" ref="B1:B99" si="0">{long}</f></c></row>' + "".join(
        f'<row r="{n}"><c r="B{n}"><f t="shared" si="0"/></c></row>' for n in range(2, 99)
    )
    with pytest.raises(UnsafeWorkbook, match="grow beyond reason"):
        cells_of(tmp_path, rows)


def test_array_formula_and_its_other_cells(tmp_path: Path) -> None:
    rows = (
        '<row r="1"><c r="A1"><f t="array" ref="A1:A2">B1:B2*2</f><v>2</v></c></row>'
        '<row r="2"><c r="A2"><v>4</v></c><c r="B2"><v>2</v></c></row>'
    )
    cells = cells_of(tmp_path, rows)
    assert (cells[(1, 1)].array_range, cells[(1, 1)].part_of_array) == ("A1:A2", False)
    assert (cells[(2, 1)].value, cells[(2, 1)].part_of_array) == (4.0, True)
    assert not cells[(2, 2)].part_of_array


def test_array_over_a_whole_sheet_takes_no_time(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1"><f t="array" ref="A1:XFD1048576">1</f></c><c r="B1"><v>4</v></c></row>'
    assert cells_of(tmp_path, rows)[(1, 2)].part_of_array


def test_array_formulas_over_one_another_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("quotebook.workbook.sheet_reader._MOST_STEPS", 1000)
    rows = "".join(f'<row r="{n}"><c r="A{n}"><f t="array" ref="A1:XFD1048576">1</f></c></row>' for n in range(1, 50))
    with pytest.raises(UnsafeWorkbook, match="array formulas"):
        cells_of(tmp_path, rows)


def test_what_if_table_marks_all_its_cells(tmp_path: Path) -> None:
    rows = (
        '<row r="2"><c r="B2"><f t="dataTable" ref="B2:B3" dt2D="0" dtr="0" r1="A9"/><v>1</v></c></row>'
        '<row r="3"><c r="B3"><v>2</v></c></row><row r="4"><c r="B4"><v>3</v></c></row>'
    )
    cells = cells_of(tmp_path, rows)
    assert [(cells[(row, 2)].kind, cells[(row, 2)].formula) for row in (2, 3, 4)] == [
        ("dataTable", "TABLE(,A9)"),
        ("dataTable", "TABLE(,A9)"),
        ("", None),
    ]


@pytest.mark.parametrize(("element", "kind"), [("<f/>", "emptyFormula"), ("<f> </f>", "emptyFormula")])
def test_empty_formula_is_not_a_constant(tmp_path: Path, element: str, kind: str) -> None:
    assert cells_of(tmp_path, f'<row r="1"><c r="A1">{element}<v>7</v></c></row>')[(1, 1)].kind == kind


def test_leading_equals_sign_is_dropped(tmp_path: Path) -> None:
    assert cells_of(tmp_path, '<row r="1"><c r="A1"><f>=B1</f></c></row>')[(1, 1)].formula == "B1"
