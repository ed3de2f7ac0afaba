"""Another customer is found wherever a file can hold a text; home-made workbooks say by labels whose they are.

Source of the fault and of its false alarms: the catalogue of checks, row P10 (paste; group companies). Names are
invented.
"""

from __future__ import annotations

import zipfile
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.comments import Comment
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

from quotebook.audit.finding import Severity
from quotebook.audit.whose import Whose
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from quotebook.workbook.file_kinds import SUMMARY_MARK
from tests.audit.contract_base import edited, swap_pattern
from tests.audit.homemade import saved
from tests.audit.other_customers import LABELLED, OTHER, home, home_view, told


def _sheet_title(book: openpyxl.Workbook) -> None:
    book.create_sheet("Brackwater Conveyors")


def _hidden_sheet(book: openpyxl.Workbook) -> None:
    sheet = book.create_sheet("Old")
    sheet["C3"] = "Brackwater Conveyors"
    sheet.sheet_state = "veryHidden"


def _note(book: openpyxl.Workbook) -> None:
    book.active["B3"].comment = Comment("as for Brackwater Conveyors", "somebody")


def _formula(book: openpyxl.Workbook) -> None:
    book.active["B5"] = '=IF(B3>1,"Brackwater Conveyors","")'


def _other_file(book: openpyxl.Workbook) -> None:
    book.active["B5"] = "='[Brackwater Conveyors.xlsx]Sheet1'!B7"


def _property(book: openpyxl.Workbook) -> None:
    book.properties.subject = "Brackwater Conveyors"


def _name(book: openpyxl.Workbook) -> None:
    book.defined_names["Brackwater_Conveyors"] = DefinedName("Brackwater_Conveyors", attr_text="Sheet!$B$3")


def _rule(book: openpyxl.Workbook) -> None:
    rule = DataValidation(type="list", formula1='"Ostrava Lifts,Brackwater Conveyors"')
    rule.add("D4")
    book.active.add_data_validation(rule)


def _header(book: openpyxl.Workbook) -> None:
    book.active.oddHeader.center.text = "Brackwater Conveyors"


@pytest.mark.parametrize(
    "place", [_sheet_title, _hidden_sheet, _note, _formula, _other_file, _property, _name, _rule, _header]
)
def test_every_place_is_looked_at(tmp_path: Path, place: object) -> None:
    book = openpyxl.Workbook()
    for cell, value in LABELLED.items():
        book.active[cell] = value
    assert callable(place)
    place(book)
    (finding,) = told(view_of(open_workbook(saved(book, tmp_path / "home.xlsx"))))
    assert finding.severity is Severity.PROBABLY_WRONG
    at = {_hidden_sheet: "C3", _note: "B3", _formula: "B5", _other_file: "B5", _rule: "D4"}
    assert finding.cells == at.get(place, "")


@pytest.mark.parametrize(
    ("part", "content"),
    [
        ("xl/drawings/drawing1.xml", "<d><t>Brackwater Conveyors</t></d>"),
        ("xl/threadedComments/threadedComment1.xml", "<t>as for Brackwater Conveyors &amp; Co</t>"),
        ("xl/pivotCache/pivotCacheDefinition1.xml", '<p><s v="Brackwater Conveyors"/></p>'),
        ("xl/drawings/vmlDrawing9.vml", "<xml>Brackwater Conveyors"),  # not well formed, and read as text all the same
    ],
)
def test_parts_that_hold_no_cells_are_looked_at(tmp_path: Path, part: str, content: str) -> None:
    path = home(tmp_path, dict(LABELLED))
    with zipfile.ZipFile(path, "a") as package:
        package.writestr(part, content)
    (finding,) = told(view_of(open_workbook(path)))
    assert (finding.sheet, finding.cells) == ("", "")
    assert part in finding.found


def test_a_text_that_no_cell_shows_any_more_is_told_where_nothing_else_is(tmp_path: Path) -> None:
    path = tmp_path / "home.xlsx"
    book = xlsxwriter.Workbook(path)  # which keeps all texts in one part, as spreadsheet programs do
    sheet = book.add_worksheet()
    for cell, text in {"A1": "Customer", "B1": "Ostrava Lifts", "C9": "Brackwater Conveyors"}.items():
        sheet.write_string(cell, text)
    book.close()
    (finding,) = told(view_of(open_workbook(path)))
    assert (finding.cells, len(finding.evidence)) == ("C9", 1), "the kept text is the cell's own"
    path.write_bytes(edited(path.read_bytes(), {"worksheets/sheet1.xml": swap_pattern('<c r="C9".*?</c>', "")}))
    (finding,) = told(view_of(open_workbook(path)))
    assert "no cell shows" in finding.found


@pytest.mark.parametrize(
    "cells",
    [
        {"A1": "Customer", "B1": "Ostrava Lifts"},
        {"A1": "Customer: Ostrava Lifts"},
        {"C1": "QUOTE FOR", "C2": "Ostrava Lifts"},
        {"A1": "Bill to:", "C1": "Ostrava Lifts"},
    ],
)
def test_a_home_made_workbook_says_by_a_label_whose_it_is(tmp_path: Path, cells: dict[str, object]) -> None:
    (finding,) = told(home_view(tmp_path, {**cells, "A9": "Brackwater Conveyors paid 5 % more"}))
    assert (finding.cells, finding.severity) == ("A9", Severity.PROBABLY_WRONG)


def test_a_label_that_may_stand_before_anything_says_it_only_of_a_known_customer(tmp_path: Path) -> None:
    lifts = Whose("lifts.xlsx", "Ostrava Lifts")
    pieces = {"A1": "For", "B1": "40 pieces", "A9": "Brackwater Conveyors"}
    assert told(home_view(tmp_path, pieces), [OTHER, lifts]) == []
    shop = {"A1": "Company", "B1": "Our own works, Ridge Hollow", "A9": "Brackwater Conveyors"}
    assert told(home_view(tmp_path, shop, "shop.xlsx"), [OTHER, lifts]) == []
    short = {"A1": "Customer", "B1": "BC", "A9": "Brackwater Conveyors"}
    assert told(home_view(tmp_path, short, "short.xlsx"), [OTHER, lifts]) == []
    named = {"A1": "For", "B1": "Ostrava Lifts Ltd", "A9": "Brackwater Conveyors"}
    assert [one.cells for one in told(home_view(tmp_path, named, "named.xlsx"), [OTHER, lifts])] == ["A9"]


def test_a_home_made_workbook_without_such_a_label(tmp_path: Path) -> None:
    lifts = Whose("lifts.xlsx", "Ostrava Lifts")
    one = home_view(tmp_path, {"A1": "Frame for Ostrava Lifts", "B3": 5})
    assert told(one, [OTHER, lifts]) == [], "it is theirs, as it seems"
    both = home_view(tmp_path, {"A1": "Frame for Ostrava Lifts", "A7": "Brackwater Conveyors"}, "both.xlsx")
    assert [finding.severity for finding in told(both, [OTHER, lifts])] == [Severity.LOOK_AT_IT] * 2
    named = home_view(
        tmp_path, {"A1": "Frame", "A7": "Brackwater Conveyors", "A8": "Ostrava Lifts"}, "ostrava lifts.xlsx"
    )
    assert told(named, [lifts]) == [], "the file bears its name"


@pytest.mark.parametrize(
    "cells",
    [
        {"A1": "Customer", "B1": "Ostrava Lifts", "A5": "Supplier", "B5": "Brackwater Conveyors"},
        {"A1": "Customer", "B1": "Ostrava Lifts", "D4": "Material", "D5": "Brackwater Conveyors"},
        {"A1": "Customer", "B1": "Brackwater Conveyors", "A5": "Ship to", "B5": "Brackwater Conveyors Ltd"},
    ],
)
def test_a_supplier_of_the_same_name_is_none(tmp_path: Path, cells: dict[str, object]) -> None:
    assert told(home_view(tmp_path, cells)) == []


def test_the_firm_itself_and_a_summary_of_many_jobs(tmp_path: Path) -> None:
    view = home_view(tmp_path, {**LABELLED, "A9": "Brackwater Conveyors"})
    assert len(told(view)) == 1
    view.snapshot = replace(view.snapshot, properties={"Company": "Brackwater Conveyors"})
    assert told(view) == []
    view.snapshot = replace(view.snapshot, properties={}, custom_properties={SUMMARY_MARK: "1"})
    assert told(view) == []


def test_one_customer_is_one_finding_however_often_it_stands(tmp_path: Path) -> None:
    cells = {**LABELLED, **{f"A{row}": f"Brackwater Conveyors, line {row}" for row in range(9, 40)}}
    view = home_view(tmp_path, cells)
    (finding,) = told(view, [OTHER, OTHER._replace(file="second.xlsx", customer="Brackwater Conveyors")])
    assert finding.cells == "A9"
    assert "other.xlsx, second.xlsx" in str(finding.evidence[0])
    assert "more" in str(finding.evidence[1])
