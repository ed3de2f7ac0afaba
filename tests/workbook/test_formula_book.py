"""What the engine is given. Source: the contract in quotebook.engine.book, by hand."""

from __future__ import annotations

from pathlib import Path

import xlsxwriter

from quotebook.engine.book import TableRange
from quotebook.values import Address
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.reader import read_snapshot
from tests.workbook.raw import raw_book


def test_formulas_inputs_names_tables(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("My Data")
    sheet.write("A1", 2)
    sheet.write("A2", "text")
    sheet.write("A3", True)
    sheet.write_formula("B1", "=A1*rate", None, 99)
    sheet.write_blank("C1", None, book.add_format({"bold": True}))
    sheet.add_table("E1:F3", {"name": "Ops", "columns": [{"header": "Op"}, {"header": "Cost"}]})
    book.define_name("rate", "='My Data'!$A$1")
    book.define_name("'My Data'!local", "=5")
    book.close()
    found = formula_book(read_snapshot(path))
    assert found.sheets == ("My Data",)
    assert found.formulas == {Address("My Data", 1, 2): "A1*rate"}
    assert found.inputs[Address("My Data", 1, 1)] == 2.0
    assert found.inputs[Address("My Data", 2, 1)] == "text"
    assert found.inputs[Address("My Data", 3, 1)] is True
    assert Address("My Data", 1, 3) not in found.inputs
    assert found.names[(None, "rate")] == "'My Data'!$A$1"
    assert found.names[("My Data", "local")] == "5"
    assert found.tables == (TableRange("Ops", "My Data", 1, 5, 3, 6, ("Op", "Cost")),)
    assert not found.opaque


def test_no_stored_result_is_passed(tmp_path: Path) -> None:
    """Stored results are marked with 777; none may appear anywhere in what the engine is given."""
    rows = (
        '<row r="1"><c r="A1"><f>1+1</f><v>777</v></c>'
        '<c r="B1"><f t="shared" ref="B1:B2" si="0">A1</f><v>777</v></c>'
        '<c r="C1"><f t="array" ref="C1:C2">A1:A2</f><v>777</v></c>'
        '<c r="D1"><f t="dataTable" ref="D1:D2" r1="A9"/><v>777</v></c>'
        '<c r="E1"><f/><v>777</v></c><c r="F1"><f t="shared" si="9"/><v>777</v></c></row>'
        '<row r="2"><c r="B2"><f t="shared" si="0"/><v>777</v></c>'
        '<c r="C2"><v>777</v></c><c r="D2"><v>777</v></c></row>'
    )
    found = formula_book(read_snapshot(raw_book(tmp_path / "book.xlsx", rows)))
    assert not found.inputs
    assert "777" not in repr(found)
    assert found.formulas[Address("Data", 2, 2)] == "A2"
    assert found.arrays == {Address("Data", 1, 3): Address("Data", 2, 3)}
    assert set(found.opaque) == {Address("Data", row, column) for row, column in ((1, 4), (2, 4), (1, 5), (1, 6))}
    assert Address("Data", 1, 4) not in found.formulas


def test_date_system_is_passed_on(tmp_path: Path) -> None:
    path = raw_book(tmp_path / "book.xlsx", in_front='<workbookPr date1904="1"/>')
    assert formula_book(read_snapshot(path)).date1904


def test_hidden_rows_are_passed_on(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1"><v>1</v></c></row><row r="2" hidden="1"><c r="A2"><v>2</v></c></row>'
    assert formula_book(read_snapshot(raw_book(tmp_path / "book.xlsx", rows))).hidden_rows == {"Data": frozenset({2})}
