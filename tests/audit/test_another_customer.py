"""Another customer's name, mail address, quotation number or prices in a workbook, and where none is meant.

Source of the fault and of its false alarms: the catalogue of checks, row P10 (paste; group companies). Names are
invented.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.comments import Comment
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation
from typer.testing import CliRunner

from quotebook.audit.checks import another_customer_named
from quotebook.audit.finding import Finding, Severity
from quotebook.audit.view import BookView
from quotebook.audit.whose import Whose, folded, is_kin, is_same, is_telling
from quotebook.cli.main import app
from quotebook.cli.watch_run import judge_by_audit
from quotebook.flows.audit import audit_all, view_of
from quotebook.flows.companions import all_whose, others_of, whose
from quotebook.flows.opening import open_workbook
from quotebook.flows.settling import Save
from quotebook.workbook.file_kinds import SUMMARY_MARK
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.snapshot import Cell
from tests.audit.contract_base import Spoiled, base_view, edited, spoil, swap_pattern, typed, write_base
from tests.audit.homemade import saved

RUN = CliRunner()
NAME = "another-customer-named"
OTHER = Whose("other.xlsx", "Brackwater Conveyors Ltd (invented)", ("a.buyer@brackwater.example",), "QX-1043", (
    205.5, 118.1, 61.05, 45.85,
))  # fmt: skip
LABELLED = {"A1": "Customer", "B1": "Ostrava Lifts", "A3": "Frame", "B3": 120.0}


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("base"))


def told(view: BookView, others: Sequence[Whose] = (OTHER,)) -> list[Finding]:
    view.others = tuple(others)
    try:
        return list(another_customer_named.find(view))
    finally:
        view.others = ()


def written(base: Path, text: str | None, field: str = "job_note", **fields: str | float | None) -> BookView:
    """The workbook of the base with something typed into some of its fields; a field's name may end in _ROW."""
    view = base_view(base)
    sheets = {sheet.title: dict(sheet.cells) for sheet in view.snapshot.sheets}
    for name, value in {field: text, **fields}.items():
        stem, _, row = name.rpartition("_")
        cell = view.field_cell(stem, int(row)) if row.isdigit() else view.field_cell(name)
        assert cell is not None, f"there is no field {name}"
        sheets[cell.sheet][cell.row, cell.column] = Cell(value)
    snapshot = replace(
        view.snapshot, sheets=tuple(replace(one, cells=sheets[one.title]) for one in view.snapshot.sheets)
    )
    return BookView(
        snapshot, formula_book(snapshot), contract=view.contract, located=view.located_by_names, inputs=view.inputs
    )


def home(folder: Path, cells: dict[str, object], name: str = "home.xlsx") -> Path:
    book = openpyxl.Workbook()
    for cell, value in cells.items():
        book.active[cell] = value
    return saved(book, folder / name)


def home_view(folder: Path, cells: dict[str, object], name: str = "home.xlsx") -> BookView:
    return view_of(open_workbook(home(folder, cells, name)))


# -- with a contract ---------------------------------------------------------------------------


def test_a_name_in_a_note_for_the_shop_is_told_at_its_cell(base: Path) -> None:
    view = written(base, "finish as for  BRACKWATER   conveyors, 5 % less")
    (finding,) = told(view)
    cell = base_view(base).field_cell("job_note")
    assert cell is not None
    assert (finding.check, finding.severity) == (NAME, Severity.PROBABLY_WRONG)
    assert (finding.sheet, finding.field) == (cell.sheet, "job_note")
    assert f"{cell}".endswith(f"!{finding.cells}")
    assert finding.effect_on_price == 0
    assert "other.xlsx" in str(finding.evidence[0])
    assert told(view, ()) == [], "a file audited alone has nothing to be compared with"
    assert told(base_view(base)) == [], "the workbook as it was made names nobody else"


@pytest.mark.parametrize(
    "text",
    [
        "brackwater.conveyors",  # other signs between
        "see BRÁCKWATER-Conveyors' drawing",  # accents, a possessive
        "Brackwater Conveyors Limited",
        "send a copy to A.Buyer@Brackwater.example",
    ],
)
def test_ways_of_writing_it(base: Path, text: str) -> None:
    assert [one.severity for one in told(written(base, text))] == [Severity.PROBABLY_WRONG]


@pytest.mark.parametrize(
    "text",
    [
        "Brackwater mills",
        "brackwaterconveyors",
        "Conveyors of Brackwater",
        "QX-10432",
        "AQX-1043",
        "QX-1043-7",
        "as usual",
    ],
)
def test_texts_that_only_look_like_it(base: Path, text: str) -> None:
    assert told(written(base, text)) == []


def test_a_quotation_number_alone_is_told_one_level_lower(base: Path) -> None:
    view = written(base, "same fixture as in qx-1043.")
    (finding,) = told(view)
    assert finding.severity is Severity.LOOK_AT_IT
    assert told(view, [OTHER._replace(quote_number="1043")]) == [], "without letters it may be anything"
    own = view.field_value("quote_number")
    assert own == "Q-7"
    again = written(base, "QX-1043", "quote_number")
    assert told(again) == [], "two files with one number are no leak"


@pytest.mark.parametrize(
    ("own", "severity"),
    [
        ("Brackwater Conveyors", None),
        ("BRACKWATER CONVEYORS, LTD.", None),
        ("Brackwater Conveyers Ltd", None),  # a slip
        ("Brackwater Conveyors Norway AS", None),
        ("Brackwater Hydraulics GmbH", Severity.LOOK_AT_IT),  # perhaps of one group
        ("Ostrava Lifts", Severity.PROBABLY_WRONG),
    ],
)
def test_names_of_one_customer_and_of_one_group(base: Path, own: str, severity: Severity | None) -> None:
    findings = told(written(base, "as for Brackwater Conveyors", customer_name=own))
    assert [one.severity for one in findings] == ([] if severity is None else [severity])


def test_a_workbook_that_does_not_say_whose_it_is_may_name_one_customer(base: Path) -> None:
    view = written(base, "for Brackwater Conveyors", customer_name=None)
    assert told(view) == []
    again = OTHER._replace(customer="Ostrava Lifts")
    assert told(view, [OTHER, again]) == []


@pytest.mark.parametrize("field", ["supplier_name", "material_name", "work_center_name", "shop_name"])
def test_a_customer_whom_the_shop_s_own_tables_or_suppliers_name_is_not_looked_for(base: Path, field: str) -> None:
    view = base_view(base)
    value = view.field_value(field)
    assert isinstance(value, str)
    other = OTHER._replace(customer=f"{value} Brackwater")
    typed_in = {field: f"{value} Brackwater Ltd"}
    assert told(written(base, f"{value} Brackwater", **typed_in), [other]) == []
    assert len(told(written(base, f"{value} Brackwater"), [other])) == 1


@pytest.mark.parametrize(
    "name",
    [
        "ABC",
        "Ltd",
        "Customer 12",
        "Demo customer",
        "Test Company GmbH",
        "Pump Works",
        "",
        "???",
        "x" * 40_000,
        "(" * 100,
    ],
)
def test_names_that_cannot_be_looked_for(name: str) -> None:
    assert not is_telling(name)


def test_a_name_of_one_word_is_told_from_the_word(base: Path) -> None:
    word = OTHER._replace(customer="Anvil Ltd", mails=(), quote_number="")
    says = {
        "made on the anvil": 0, "Anvil tools are in drawer 3": 0, "done. Anvil next": 0,
        "as for Anvil last year": 1, "Anvil": 1, "Anvil Limited": 1,
    }  # fmt: skip
    for text, count in says.items():
        assert len(told(written(base, text), [word])) == count, text


def test_signs_in_a_name_are_no_pattern(base: Path) -> None:
    other = OTHER._replace(customer="Br[ack*]water (+) .*", quote_number="Q(1043)+[a", mails=())
    assert told(written(base, "anything; Q1043"), [other]) == []
    assert len(told(written(base, "is Q(1043)+[a ours?"), [other])) == 1


def test_stored_results_that_still_show_the_old_customer(base: Path, tmp_path: Path) -> None:
    first = spoil(base, tmp_path / "first.xlsx", Spoiled({("customer_name", 0): typed(OTHER.customer)}))
    view = base_view(first)
    cell = view.field_cell("customer_name")
    assert cell is not None
    assert told(view) == []
    again = spoil(first, tmp_path / "again.xlsx", Spoiled({("customer_name", 0): typed("Ostrava Lifts")}, stale=True))
    (finding,) = told(view_of(open_workbook(again)))
    assert finding.sheet == "Quote"
    assert "a stored result" in finding.found


def test_prices_of_another_file_in_a_row(base: Path, tmp_path: Path) -> None:
    def pasted(name: str, prices: Sequence[float]) -> list[Finding]:
        cells = {f"C{row}": price for row, price in enumerate(prices, start=5)}
        return told(home_view(tmp_path, {**LABELLED, **cells}, name))

    (finding,) = pasted("three.xlsx", OTHER.prices[1:])
    assert (finding.cells, finding.severity) == ("C5:C7", Severity.PROBABLY_WRONG)
    assert pasted("all.xlsx", OTHER.prices)[0].cells == "C5:C8"
    assert pasted("two.xlsx", OTHER.prices[:2]) == []
    assert pasted("order.xlsx", OTHER.prices[::-1]) == []
    round_ones = OTHER._replace(prices=(100.0, 90.0, 80.0))
    assert told(home_view(tmp_path, {**LABELLED, "C5": 100, "D5": 90, "E5": 80}, "round.xlsx"), [round_ones]) == []
    across = home_view(tmp_path, {**LABELLED, "C5": 118.1, "D5": 61.05, "E5": 45.85}, "across.xlsx")
    assert [one.cells for one in told(across)] == ["C5:E5"]


def test_figures_of_the_shop_are_nobody_s_prices(base: Path) -> None:
    fields = {f"hand_rate_cost_{row}": price for row, price in enumerate(OTHER.prices[:3])}
    assert told(written(base, None, **fields)) == []
    own = {f"nonrecurring_purchase_{row}": price for row, price in enumerate(OTHER.prices[:3])}
    assert len(told(written(base, None, **own))) == 1, "in the job's own tables they are"


# -- every place of a file ----------------------------------------------------------------------


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


# -- home-made ----------------------------------------------------------------------------------


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


# -- a whole call -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def folder(base: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two workbooks with a contract and a home-made one, each telling of another."""
    folder = tmp_path_factory.mktemp("call")
    fields = {("customer_name", 0): typed("Brackwater Conveyors"), ("job_note", 0): typed("cheaper than Ostrava Lifts")}
    spoil(base, folder / "conveyors.xlsx", Spoiled({**fields, ("quote_number", 0): typed("QX-1043")}))
    spoil(base, folder / "lifts.xlsx", Spoiled({("customer_name", 0): typed("Ostrava Lifts")}))
    home(folder, {"A1": "Customer", "B1": "Pryce Dredging", "B4": 17.5, "A7": "see QX-1043"})
    (folder / "broken.xlsx").write_bytes(b"no workbook")
    return folder


def said(paths: Sequence[Path]) -> dict[str, list[Finding]]:
    return {Path(audit.file).name: [one for one in audit.findings if one.check == NAME] for audit in audit_all(paths)}


def test_the_same_files_give_the_same_findings_in_any_order(folder: Path) -> None:
    paths = sorted(folder.glob("*.xlsx"))
    found = said(paths)
    places = {name: [(one.sheet, one.severity) for one in findings] for name, findings in found.items()}
    assert places == {
        "broken.xlsx": [], "conveyors.xlsx": [("Job", Severity.PROBABLY_WRONG)], "lifts.xlsx": [],
        "home.xlsx": [("Sheet", Severity.LOOK_AT_IT)],
    }  # fmt: skip
    assert said([*paths[::-1], paths[2]]) == found, "one named twice is one"
    assert said([folder / "home.xlsx"]) == {"home.xlsx": []}


def test_whose_a_file_is_is_read_without_the_rest(folder: Path, base: Path) -> None:
    known = all_whose(folder.glob("*.xlsx"))
    assert {one.customer for one in known.values()} == {"Brackwater Conveyors", "Ostrava Lifts"}
    lifts = whose(folder / "lifts.xlsx")
    assert lifts is not None
    view = base_view(folder / "lifts.xlsx")
    prices = [view.field_number("unit_price", 1 + lot) for lot in range(len(view.lots))]
    assert list(lifts.prices) == pytest.approx(prices)
    assert [one.file for one in others_of(folder / "lifts.xlsx", known)] == ["conveyors.xlsx"]
    assert whose(folder / "broken.xlsx") is None
    assert whose(folder / "gone.xlsx") is None


def test_the_command_takes_a_folder(folder: Path, tmp_path: Path) -> None:
    result = RUN.invoke(app, ["audit", str(folder), "--json"])
    files = json.loads(result.stdout)["files"]
    assert [Path(one["file"]).name for one in files] == ["broken.xlsx", "conveyors.xlsx", "home.xlsx", "lifts.xlsx"]
    told_of = [Path(one["file"]).name for one in files for finding in one["findings"] if finding["check"] == NAME]
    assert told_of == ["conveyors.xlsx", "home.xlsx"]
    assert RUN.invoke(app, ["audit", str(tmp_path)]).exception is not None, "a folder without a workbook"


def test_a_watched_folder_supplies_the_list(folder: Path) -> None:
    path = folder / "home.xlsx"
    save = Save(path, "", path.read_bytes())
    assert NAME in judge_by_audit(False, folder=folder)(save).page
    assert NAME not in judge_by_audit(False)(save).page


def test_a_file_with_a_bomb_in_it_gives_no_list(tmp_path: Path) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.xml", b"<!DOCTYPE a [<!ENTITY b 'c'>]><workbook>&b;</workbook>")
        package.writestr("xl/worksheets/sheet1.xml", b"0" * 50_000_000)
    (tmp_path / "bomb.xlsx").write_bytes(buffer.getvalue())
    assert whose(tmp_path / "bomb.xlsx") is None


def test_words_and_names() -> None:
    assert folded("  Smith & Söhne,\u00a0Nord-WEST ") == "smith sohne nord west"
    assert is_same("Smith & Sons", "SMITH AND SONS LTD")
    assert not is_same("Brackwater Conveyors", "Ostrava Lifts")
    assert not is_same("", "Ostrava Lifts")
    assert is_kin("Brackwater Hydraulics", "Brackwater Conveyors")
    assert not is_kin("General Hydraulics", "General Conveyors"), "a common word makes no group"
