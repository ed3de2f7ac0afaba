"""Replacing formulas that other cells share, and the calculation chain. Sources: by hand; openpyxl as witness."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest

from quotebook.values import Address, Value
from quotebook.workbook.changes import Change, NewFormula, NewInput, NewResult
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from tests.workbook.raw import SHEET_PART, parts_of, raw_book, relations, write_parts

SHARED = (
    '<row r="1"><c r="B1"><f t="shared" ref="B1:B4" si="0">A1*$D$1</f><v>1</v></c></row>'
    '<row r="2"><c r="B2"><f t="shared" si="0"/><v>2</v></c></row>'
    '<row r="3"><c r="B3"><f t="shared" si="0"/><v>3</v></c>'
    '<c r="C3"><f t="shared" ref="C3:C4" si="1">B3</f><v>3</v></c></row>'
    '<row r="4"><c r="B4"><f t="shared" si="0"/><v>4</v></c><c r="C4"><f t="shared" si="1"/><v>4</v></c></row>'
)


def patched(source: Path, changes: dict[str, Change]) -> dict[str, tuple[Value, str | None]]:
    """Write the copy and return (value, formula) of its cells."""
    from quotebook.workbook.areas import cell_name, parse_cell

    target = source.with_name("target.xlsx")
    keys = {name: parse_cell(name) for name in changes}
    write_copy(source, target, {Address("Data", *(keys[name] or (0, 0))): change for name, change in changes.items()})
    witness = openpyxl.load_workbook(target)["Data"]
    cells = {cell_name(*key): cell for key, cell in read_snapshot(target).sheets[0].cells.items()}
    for name, cell in cells.items():
        if cell.formula is not None:
            assert witness[name].value == f"={cell.formula}"
    return {name: (cell.value, cell.formula) for name, cell in cells.items()}


FOLLOWERS = {
    "B2": (2.0, "A2*$D$1"),
    "B3": (3.0, "A3*$D$1"),
    "B4": (4.0, "A4*$D$1"),
    "C3": (3.0, "B3"),
    "C4": (4.0, "B4"),
}


@pytest.mark.parametrize(
    ("change", "first"),
    [
        (NewInput(9.0, over_formula=True), (9.0, None)),
        (NewFormula("A1+1", 5.0), (5.0, "A1+1")),
        (NewResult(8.0), (8.0, "A1*$D$1")),
    ],
)
def test_followers_outlive_their_first_cell(tmp_path: Path, change: Change, first: tuple[Value, str | None]) -> None:
    assert patched(raw_book(tmp_path / "book.xlsx", SHARED), {"B1": change}) == FOLLOWERS | {"B1": first}


def test_followers_changed_together_with_their_first_cell(tmp_path: Path) -> None:
    found = patched(
        raw_book(tmp_path / "book.xlsx", SHARED),
        {"B1": NewInput(9.0, over_formula=True), "B2": NewResult(7.0), "B3": NewFormula("1+1", 2.0)},
    )
    assert found == FOLLOWERS | {"B1": (9.0, None), "B2": (7.0, "A2*$D$1"), "B3": (2.0, "1+1")}


def test_replacing_a_follower_leaves_the_others_shared(tmp_path: Path) -> None:
    source = raw_book(tmp_path / "book.xlsx", SHARED)
    found = patched(source, {"B2": NewInput(5.0, over_formula=True)})
    assert found == FOLLOWERS | {"B1": (1.0, "A1*$D$1"), "B2": (5.0, None)}
    with zipfile.ZipFile(tmp_path / "target.xlsx") as archive:
        assert archive.read(SHEET_PART).count(b'si="0"') == 3


def test_emptied_sheet_data_written_as_one_tag(tmp_path: Path) -> None:
    parts = parts_of()
    parts[SHEET_PART] = str(parts[SHEET_PART]).replace("<sheetData></sheetData>", "<sheetData />")
    found = patched(write_parts(tmp_path / "book.xlsx", parts), {"B2": NewInput(1.0), "A1": NewInput("x")})
    assert found == {"A1": ("x", None), "B2": (1.0, None)}


def test_row_written_as_one_tag(tmp_path: Path) -> None:
    source = raw_book(tmp_path / "book.xlsx", '<row r="2" spans="1:1" ht="9" /><row r="4"/>')
    assert patched(source, {"C2": NewInput(1.0), "A3": NewInput(2.0)}) == {"C2": (1.0, None), "A3": (2.0, None)}
    with zipfile.ZipFile(tmp_path / "target.xlsx") as archive:
        assert b'<row r="2" ht="9"><c r="C2"><v>1</v></c></row><row r="3">' in archive.read(SHEET_PART)


def test_cells_without_addresses_keep_their_places(tmp_path: Path) -> None:
    rows = "<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>"
    found = patched(raw_book(tmp_path / "book.xlsx", rows), {"B1": NewInput(9.0), "D1": NewInput(8.0)})
    assert found == {"A1": (1.0, None), "B1": (9.0, None), "D1": (8.0, None), "A2": (3.0, None)}


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1", "utf-8-sig"])
def test_encodings_prefixes_comments_and_odd_quotes(tmp_path: Path, encoding: str) -> None:
    from tests.workbook.raw import MAIN

    declared = encoding.removesuffix("-sig")
    text = (
        f"<?xml version='1.0' encoding='{declared}'?><!-- <c r=\"A1\"/> --><x:worksheet xmlns:x='{MAIN}'><x:sheetData>"
        "<x:row r='1'><!-- > --><x:c\n r='A1'\tt='inlineStr'><x:is><x:t>Größe</x:t></x:is></x:c>"
        "<x:c r='B1' foo=' t=\"x\" >'><x:v>2</x:v><x:extLst/></x:c><x:c r='C1'/></x:row></x:sheetData></x:worksheet>"
    )
    parts = parts_of() | {SHEET_PART: text.encode(encoding)}
    source = write_parts(tmp_path / "book.xlsx", parts)
    found = patched(source, {"B1": NewInput("é"), "C1": NewInput(3.0), "A2": NewInput(4.0)})
    assert found == {"A1": ("Größe", None), "B1": ("é", None), "C1": (3.0, None), "A2": (4.0, None)}
    with zipfile.ZipFile(tmp_path / "target.xlsx") as archive:
        assert b"extLst" in archive.read(SHEET_PART)


def test_extra_data_about_an_old_value_is_cut_off(tmp_path: Path) -> None:
    """Source: ECMA-376 18.3.1.4: vm and cm index metadata about the value and the formula."""
    rows = '<row r="1"><c r="A1" cm="1" vm="2" t="e"><f t="array" ref="A1">B1</f><v>#VALUE!</v></c></row>'
    source = raw_book(tmp_path / "book.xlsx", rows)
    write_copy(source, tmp_path / "target.xlsx", {Address("Data", 1, 1): NewResult(1.0)})
    with zipfile.ZipFile(tmp_path / "target.xlsx") as archive:
        assert b'<c r="A1" cm="1"><f t="array" ref="A1">B1</f><v>1</v></c>' in archive.read(SHEET_PART)


def with_chain(tmp_path: Path) -> Path:
    rows = '<row r="1"><c r="A1"><v>1</v></c><c r="B1"><f>A1</f><v>1</v></c><c r="C1"><f>A1</f><v>1</v></c></row>'
    parts = parts_of(rows)
    chain = '<Override PartName="/xl/calcChain.xml" ContentType="application/x.calcChain+xml"/>'
    parts["[Content_Types].xml"] = str(parts["[Content_Types].xml"]).replace("</Types>", f"{chain}</Types>")
    parts["xl/_rels/workbook.xml.rels"] = relations(
        ("rId1", "worksheet", "worksheets/sheet1.xml"), ("rId5", "calcChain", "calcChain.xml")
    )
    parts["xl/calcChain.xml"] = '<calcChain><c r="B1" i="1"/><c r="C1"/></calcChain>'
    return write_parts(tmp_path / "book.xlsx", parts)


@pytest.mark.parametrize(
    ("changes", "kept"),
    [
        ({"A1": NewInput(2.0), "B1": NewResult(2.0)}, True),
        ({"B1": NewFormula("A1+1", 2.0)}, True),
        ({"B1": NewInput(2.0, over_formula=True)}, False),
        ({"A1": NewFormula("5", 5.0)}, False),
    ],
)
def test_calculation_chain_goes_only_when_formulas_come_or_go(
    tmp_path: Path, changes: dict[str, Change], kept: bool
) -> None:
    """From memory: a chain naming a cell without formula makes the spreadsheet program offer a repair."""
    patched(with_chain(tmp_path), changes)
    with zipfile.ZipFile(tmp_path / "target.xlsx") as archive:
        texts = [archive.read(name) for name in ("[Content_Types].xml", "xl/_rels/workbook.xml.rels")]
        assert ("xl/calcChain.xml" in archive.namelist()) is kept
    assert all((b"calcChain" in text) is kept for text in texts)
    assert all(b"sheet1.xml" in text for text in texts)
