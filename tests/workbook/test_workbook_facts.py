"""What a workbook says beside its cells: sheets, names, tables, properties, links, calculation.

Sources: what the writing library was told to write; hand-made XML follows ECMA-376 part 1, 18.2.
"""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from quotebook.errors import NotAWorkbook
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import DefinedName, Table
from tests.workbook.raw import PACKAGE, RELATIONS, SHEET_PART, parts_of, raw_book, relations, write_parts


@pytest.fixture
def full_book(tmp_path: Path) -> Path:
    path = tmp_path / "book.xlsx"
    book = xlsxwriter.Workbook(path)
    book.set_properties({"title": "Demo", "author": "nobody", "company": "none", "comments": "invented"})
    book.set_custom_property("quotebook_template", "T1")
    book.set_custom_property("count", 7)
    first = book.add_worksheet("My Data")
    second = book.add_worksheet("Second")
    third = book.add_worksheet("Third")
    book.add_chartsheet("Chart")
    second.hide()
    third.very_hidden()
    first.write_row("A1", ["Op", "Cost\nEUR"])
    first.add_table("A1:B4", {"name": "Ops", "columns": [{"header": "Op"}, {"header": "Cost\nEUR"}], "total_row": True})
    first.print_area("A1:D20")
    book.define_name("rate", "='My Data'!$B$2")
    book.define_name("Second!local", "=Second!$A$1")
    book.define_name("words", '="T1"')
    book.set_calc_mode("manual")
    book.close()
    return path


def test_sheets_and_states(full_book: Path) -> None:
    sheets = read_snapshot(full_book).sheets
    assert [(sheet.title, sheet.state) for sheet in sheets] == [
        ("My Data", "visible"),
        ("Second", "hidden"),
        ("Third", "veryHidden"),
        ("Chart", "visible"),
    ]
    assert sheets[0].part == "xl/worksheets/sheet1.xml"
    assert sheets[0].print_area == "'My Data'!$A$1:$D$20"


def test_names(full_book: Path) -> None:
    names = read_snapshot(full_book).names
    assert DefinedName("rate", "'My Data'!$B$2") in names
    assert DefinedName("local", "Second!$A$1", sheet="Second") in names
    assert DefinedName("words", '"T1"') in names


def test_tables(full_book: Path) -> None:
    assert read_snapshot(full_book).tables == (
        Table("Ops", "My Data", "A1:B4", ("Op", "Cost\nEUR"), header_rows=1, totals_rows=1),
    )


def test_properties(full_book: Path) -> None:
    snapshot = read_snapshot(full_book)
    assert snapshot.properties["title"] == "Demo"
    assert snapshot.properties["creator"] == "nobody"
    assert snapshot.properties["Company"] == "none"
    assert snapshot.custom_properties == {"quotebook_template": "T1", "count": "7"}
    assert snapshot.application == "Microsoft Excel"


def test_calculation(full_book: Path, tmp_path: Path) -> None:
    assert read_snapshot(full_book).calculation.mode == "manual"
    path = raw_book(
        tmp_path / "raw.xlsx",
        in_front='<workbookPr date1904="true"/>',
        workbook='<calcPr iterate="1" fullPrecision="0" fullCalcOnLoad="1"/>',
    )
    calculation = read_snapshot(path).calculation
    assert (calculation.mode, calculation.iterate, calculation.full_precision) == ("auto", True, False)
    assert (calculation.date1904, calculation.full_calc_on_load) == (True, True)
    assert read_snapshot(raw_book(tmp_path / "plain.xlsx")).calculation.full_precision


def test_hidden_name_and_name_of_a_sheet_that_is_not_there(tmp_path: Path) -> None:
    names = (
        '<definedNames><definedName name="h" hidden="1">Data!$A$1</definedName>'
        '<definedName name="lost" localSheetId="9">1</definedName></definedNames>'
    )
    assert read_snapshot(raw_book(tmp_path / "book.xlsx", workbook=names)).names == (
        DefinedName("h", "Data!$A$1", hidden=True),
    )


def test_external_links_in_the_order_of_their_numbers(tmp_path: Path) -> None:
    parts = parts_of(
        workbook='<externalReferences><externalReference r:id="rId9"/><externalReference r:id="rId8"/>'
        "</externalReferences>"
    )
    parts["xl/_rels/workbook.xml.rels"] = relations(
        ("rId1", "worksheet", "worksheets/sheet1.xml"),
        ("rId8", "externalLink", "externalLinks/externalLink1.xml"),
        ("rId9", "externalLink", "externalLinks/externalLink2.xml"),
    )
    for number, target in ((1, "old%20rates.xlsx"), (2, "file:///shop/rates.xlsx")):
        parts[f"xl/externalLinks/externalLink{number}.xml"] = "<externalLink/>"
        parts[f"xl/externalLinks/_rels/externalLink{number}.xml.rels"] = relations(
            ("rId1", "externalLinkPath", target), external=True
        )
    links = read_snapshot(write_parts(tmp_path / "book.xlsx", parts)).external_links
    assert links == ("file:///shop/rates.xlsx", "old%20rates.xlsx")


def test_macros_are_noticed_and_left_alone(tmp_path: Path) -> None:
    assert not read_snapshot(raw_book(tmp_path / "plain.xlsx")).has_macros
    parts = parts_of() | {"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0"}
    assert read_snapshot(write_parts(tmp_path / "book.xlsm", parts)).has_macros


@pytest.mark.parametrize("slash", ["\\", "/"])
def test_part_names_with_backslashes(tmp_path: Path, slash: str) -> None:
    """Measured on public files: old tools write backslashes."""
    parts = {
        name.replace("/", slash): text for name, text in parts_of('<row r="1"><c r="A1"><v>5</v></c></row>').items()
    }
    snapshot = read_snapshot(write_parts(tmp_path / "book.xlsx", parts))
    assert snapshot.sheets[0].cells[(1, 1)].value == 5.0
    assert SHEET_PART in snapshot.parts


@pytest.mark.parametrize("target", ["/xl/worksheets/sheet1.xml", "worksheets\\sheet1.xml", "./WORKSHEETS/Sheet1.XML"])
def test_ways_of_pointing_to_a_part(tmp_path: Path, target: str) -> None:
    """Source: ECMA-376 part 2, 6.2.2 (part names compare without regard to capitals) and RFC 3986 for the rest."""
    parts = parts_of('<row r="1"><c r="A1"><v>5</v></c></row>')
    parts["xl/_rels/workbook.xml.rels"] = relations(("rId1", "worksheet", target))
    assert read_snapshot(write_parts(tmp_path / "book.xlsx", parts)).sheets[0].cells[(1, 1)].value == 5.0


def test_package_without_its_first_pointers(tmp_path: Path) -> None:
    parts = parts_of('<row r="1"><c r="A1"><v>5</v></c></row>')
    del parts["_rels/.rels"]
    assert read_snapshot(write_parts(tmp_path / "book.xlsx", parts)).sheets[0].cells[(1, 1)].value == 5.0


def test_strict_properties(tmp_path: Path) -> None:
    parts = parts_of(strict=True)
    strict = "http://purl.oclc.org/ooxml/officeDocument/relationships"
    parts["_rels/.rels"] = (
        f'<Relationships xmlns="{PACKAGE}">'
        f'<Relationship Id="a" Type="{strict}/officeDocument" Target="xl/workbook.xml"/>'
        f'<Relationship Id="b" Type="{strict}/extendedProperties" Target="docProps/app.xml"/>'
        f'<Relationship Id="c" Type="{strict}/customProperties" Target="docProps/custom.xml"/></Relationships>'
    )
    parts["docProps/app.xml"] = "<Properties><Application>Somebody's program</Application></Properties>"
    parts["docProps/custom.xml"] = '<Properties><property name="k"><lpwstr>v</lpwstr></property></Properties>'
    snapshot = read_snapshot(write_parts(tmp_path / "book.xlsx", parts))
    assert snapshot.application == "Somebody's program"
    assert snapshot.custom_properties == {"k": "v"}


@pytest.mark.parametrize(
    ("sheets", "found"),
    [
        ('<sheet name="A" r:id="rId1"/><sheet name="a" r:id="rId1"/>', "twice"),
        ('<sheet name="A" r:id="rId1"/><sheet name="B" r:id="rId1"/>', "twice"),
        ('<sheet name="A" r:id="rId77"/>', "without its content"),
        ("", "no sheet"),
    ],
)
def test_sheets_that_cannot_be_told_apart_or_found(tmp_path: Path, sheets: str, found: str) -> None:
    parts = parts_of()
    parts["xl/workbook.xml"] = (
        f'<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="{RELATIONS}">'
        f"<sheets>{sheets}</sheets></workbook>"
    )
    with pytest.raises(NotAWorkbook, match=found):
        read_snapshot(write_parts(tmp_path / "book.xlsx", parts))


def test_openpyxl_written_book(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.properties.title = "Demo"
    book.active["A1"] = "text"
    book.save(tmp_path / "book.xlsx")
    snapshot = read_snapshot(tmp_path / "book.xlsx")
    assert snapshot.properties["title"] == "Demo"
    assert snapshot.sheets[0].cells[(1, 1)].value == "text"
