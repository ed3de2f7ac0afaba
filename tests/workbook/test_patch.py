"""Changing a copy in place. Witness: openpyxl reads the copy; every part that was not meant must be byte-equal."""

from __future__ import annotations

import zipfile
from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from quotebook.errors import BookError, NotAWorkbook, TargetExists
from quotebook.values import Address, ErrorValue, Value
from quotebook.workbook.changes import Change, NewFormula, NewInput, NewResult
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Cell

SHEET = "xl/worksheets/sheet1.xml"
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c6360606060000000050001a5f645400000000049454e44ae426082"
)


def at(name: str, sheet: str = "Data") -> Address:
    from quotebook.workbook.areas import parse_cell

    key = parse_cell(name)
    assert key is not None
    return Address(sheet, *key)


@pytest.fixture
def source(tmp_path: Path) -> Path:
    """A workbook with a chart, a picture, rules, notes, a table and two sheets."""
    path, picture = tmp_path / "source.xlsx", tmp_path / "pixel.png"
    picture.write_bytes(PIXEL)
    book = xlsxwriter.Workbook(path)
    sheet, other = book.add_worksheet("Data"), book.add_worksheet("Other")
    unlocked = book.add_format({"locked": False, "num_format": "0.00", "bg_color": "#FFF2CC"})
    for row in range(5):
        sheet.write_number(row, 0, row + 1, unlocked)
        sheet.write_formula(row, 1, f"=A{row + 1}*2", None, 2 * (row + 1))
        sheet.write_string(row, 2, f"text {row}", unlocked)
    sheet.write_array_formula("E1:E2", "{=A1:A2*2}", None, 2)
    sheet.write_number("E2", 4)
    sheet.merge_range("G1:H2", "merged")
    sheet.add_table("J1:K3", {"columns": [{"header": "Op"}, {"header": "Cost"}]})
    sheet.data_validation("A1:A5", {"validate": "decimal", "criteria": ">", "value": 0})
    sheet.conditional_format("B1:B5", {"type": "cell", "criteria": ">", "value": 3, "format": unlocked})
    sheet.write_comment("A1", "note")
    chart = book.add_chart({"type": "line"})
    chart.add_series({"values": "=Data!$A$1:$A$5"})
    sheet.insert_chart("M1", chart)
    sheet.insert_image("M20", str(picture))
    sheet.set_column("P:P", 10, unlocked)
    other.write_formula("A1", "=Data!A1", None, 1)
    book.define_name("rate", "=Data!$A$1")
    book.close()
    return path


def entries(path: Path) -> list[tuple[str, bytes, int, tuple[int, ...]]]:
    with zipfile.ZipFile(path) as archive:
        return [(info.filename, archive.read(info), info.compress_type, info.date_time) for info in archive.infolist()]


def changed(source: Path, changes: dict[Address, Change], name: str = "target.xlsx") -> Path:
    target = source.with_name(name)
    write_copy(source, target, changes)
    return target


def cell_of(path: Path, address: Address) -> Cell:
    return read_snapshot(path).cell(address) or Cell(None)


@pytest.mark.parametrize(
    ("value", "kind"),
    [(3.5, "n"), ('té <&> "q"', "str"), (True, "b"), (False, "b"), (ErrorValue.DIV0, "e"), (1e21, "n"), (-0.1, "n")],
)
def test_new_result_keeps_the_formula(source: Path, value: Value, kind: str) -> None:
    target = changed(source, {at("B2"): NewResult(value)})
    cell = cell_of(target, at("B2"))
    assert (cell.value, cell.formula) == (value, "A2*2")
    witness = openpyxl.load_workbook(target, data_only=True)["Data"]["B2"]
    assert witness.value == (value.value if isinstance(value, ErrorValue) else value)
    assert openpyxl.load_workbook(target)["Data"]["B2"].value == "=A2*2"
    with zipfile.ZipFile(target) as archive:
        written = archive.read(SHEET).decode()
    assert f'<c r="B2" t="{kind}">' in written or (kind == "n" and '<c r="B2"><f>' in written)


def test_result_can_be_removed(source: Path) -> None:
    assert cell_of(changed(source, {at("B2"): NewResult(None)}), at("B2")) == Cell(None, "A2*2")


@pytest.mark.parametrize(
    ("value", "read"),
    [
        (7.25, 7.25),
        ("plain", "plain"),
        (" spaces \n and lines ", " spaces \n and lines "),
        ("_x0041_ \x07", "_x0041_ \x07"),
        (True, True),
        (None, None),
        # By hand: 45306 is 2024-01-15 in the 1900 system.
        (date(2024, 1, 15), 45306.0),
        (datetime(2024, 1, 15, 12), 45306.5),
    ],
)
@pytest.mark.parametrize("place", ["A2", "C3"])
def test_new_input_keeps_its_format(source: Path, value: Value | date, read: Value, place: str) -> None:
    before = cell_of(source, at(place))
    after = cell_of(changed(source, {at(place): NewInput(value)}), at(place))
    assert (after.value, after.formula, after.style) == (read, None, before.style)
    assert type(after.value) is type(read)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", "\t=1+1"])
def test_text_never_becomes_a_formula(source: Path, text: str) -> None:
    target = changed(source, {at("C1"): NewInput(text)})
    assert cell_of(target, at("C1")).value == text
    assert cell_of(target, at("C1")).formula is None
    witness = openpyxl.load_workbook(target)["Data"]["C1"]
    assert (witness.data_type, witness.value) == ("s", text)


def test_new_formula_with_its_result(source: Path) -> None:
    target = changed(source, {at("B1"): NewFormula('IF(A1<2,"<&>",A1)', "<&>"), at("A5"): NewFormula("A4+1", 5.0)})
    assert cell_of(target, at("B1")) == Cell("<&>", 'IF(A1<2,"<&>",A1)')
    assert cell_of(target, at("A5")).style == cell_of(source, at("A5")).style
    assert openpyxl.load_workbook(target)["Data"]["A5"].value == "=A4+1"


def test_everything_else_is_byte_equal(source: Path) -> None:
    changes: dict[Address, Change] = {at("A1"): NewInput(9.0), at("B1"): NewResult(18.0), at("B3"): NewResult("x")}
    target = changed(source, changes)
    before, after = entries(source), entries(target)
    assert [entry[0] for entry in before] == [entry[0] for entry in after]
    assert [entry[2:] for entry in before] == [entry[2:] for entry in after]
    assert [one[0] for one, two in zip(before, after, strict=True) if one != two] == [SHEET]


def test_only_the_touched_cells_differ_inside_the_sheet(source: Path) -> None:
    target = changed(source, {at("A1"): NewInput(9.0), at("B3"): NewResult(77.0)})
    with zipfile.ZipFile(source) as one, zipfile.ZipFile(target) as two:
        before, after = one.read(SHEET).decode(), two.read(SHEET).decode()
    expected = before.replace('<c r="A1" s="1"><v>1</v></c>', '<c r="A1" s="1"><v>9</v></c>')
    expected = expected.replace("<f>A3*2</f><v>6</v>", "<f>A3*2</f><v>77</v>")
    assert expected != before
    assert after == expected


def test_every_other_cell_and_rule_reads_as_before(source: Path) -> None:
    touched: dict[Address, Change] = {at("A1"): NewInput(9.0), at("B1"): NewResult(18.0)}
    before, after = read_snapshot(source), read_snapshot(changed(source, touched))
    for old, new in zip(before.sheets, after.sheets, strict=True):
        for key, cell in old.cells.items():
            if Address(old.title, *key) not in touched:
                assert new.cells[key] == cell
        assert old.validations == new.validations
        assert old.conditional_formats == new.conditional_formats
        assert (old.comments, old.merged) == (new.comments, new.merged)
    assert (before.tables, before.names, before.properties) == (after.tables, after.names, after.properties)


def test_two_sheets_at_once(source: Path) -> None:
    target = changed(source, {at("B1"): NewResult(5.0), at("A1", "other"): NewResult(6.0)})
    assert cell_of(target, at("B1")).value == 5.0
    assert cell_of(target, at("A1", "Other")).value == 6.0


@pytest.mark.parametrize("place", ["D1", "Z3", "A9", "D7", "B40", "P2", "XFD1048576"])
def test_cell_that_the_file_did_not_hold(source: Path, place: str) -> None:
    target = changed(source, {at(place): NewInput("new")})
    assert cell_of(target, at(place)).value == "new"
    assert openpyxl.load_workbook(target)["Data"][place].value == "new"
    before, after = read_snapshot(source).sheets[0].cells, dict(read_snapshot(target).sheets[0].cells)
    after.pop((at(place).row, at(place).column))
    assert after == before


def test_several_new_cells_stand_in_order(source: Path) -> None:
    places = ["Z1", "D1", "F1", "A8", "C8", "B7", "D3"]
    target = changed(source, {at(place): NewInput(1.0) for place in places})
    with zipfile.ZipFile(target) as archive:
        import re

        addresses = re.findall(r'<c r="([A-Z]+)([0-9]+)"', archive.read(SHEET).decode())
    order = [(int(row), len(letters), letters) for letters, row in addresses]
    assert order == sorted(order)
    assert all(cell_of(target, at(place)).value == 1.0 for place in places)


def test_new_cell_takes_the_format_of_its_column(source: Path) -> None:
    snapshot = read_snapshot(changed(source, {at("P3"): NewInput(1.0)}))
    cell = snapshot.cell(at("P3"))
    assert cell is not None
    assert not snapshot.styles[cell.style].locked


def test_emptying_a_cell_that_is_not_there_changes_nothing(source: Path) -> None:
    assert entries(changed(source, {at("Z9"): NewInput(None)})) == entries(source)


REFUSED: list[tuple[str, Change, str]] = [
    ("A1", NewResult(1.0), "no formula"),
    ("B1", NewInput(1.0), "ask for writing over formulas"),
    ("E1", NewFormula("1", 1.0), "part of an array formula"),
    ("E2", NewInput(1.0), "part of an array formula"),
    ("H2", NewInput(1.0), "merged cells G1:H2"),
    ("J1", NewInput("x"), "heading of the table"),
    ("A1", NewFormula("=A2"), "without the equals sign"),
    ("A1", NewFormula(" "), "without the equals sign"),
    ("A1", NewInput(float("nan")), "a finite number"),
    ("A1", NewInput(float("inf")), "a finite number"),
    ("A1", NewInput("x" * 32_768), "at most 32767"),
]


@pytest.mark.parametrize(("place", "change", "words"), REFUSED, ids=[words for _, _, words in REFUSED])
def test_change_that_would_damage_is_refused(source: Path, place: str, change: Change, words: str) -> None:
    target = source.with_name("target.xlsx")
    with pytest.raises(BookError, match=words):
        write_copy(source, target, {at("A2"): NewInput(1.0), at(place): change})
    assert not target.exists()


def test_unknown_sheet_and_cell_outside(source: Path) -> None:
    with pytest.raises(BookError, match="no sheet 'Nowhere'"):
        changed(source, {Address("Nowhere", 1, 1): NewInput(1.0)})
    with pytest.raises(BookError, match="outside of the sheet"):
        changed(source, {Address("Data", 0, 1): NewInput(1.0)})


def test_source_is_never_written(source: Path) -> None:
    before = source.read_bytes()
    link = source.with_name("link.xlsx")
    link.symlink_to(source)
    for target in (source, link, source.parent / "." / source.name):
        with pytest.raises(BookError, match="the source itself"):
            write_copy(source, target, {at("A1"): NewInput(1.0)}, force=True)
    changed(source, {at("A1"): NewInput(1.0)})
    assert source.read_bytes() == before


def test_existing_target_needs_force(source: Path) -> None:
    target = source.with_name("target.xlsx")
    target.write_bytes(b"other work")
    with pytest.raises(TargetExists):
        write_copy(source, target, {})
    assert target.read_bytes() == b"other work"
    write_copy(source, target, {}, force=True)
    assert entries(target) == entries(source)


def test_bad_source_leaves_no_target(tmp_path: Path) -> None:
    (tmp_path / "bad.xlsx").write_bytes(b"text")
    with pytest.raises(NotAWorkbook):
        write_copy(tmp_path / "bad.xlsx", tmp_path / "target.xlsx", {})
    assert [path.name for path in tmp_path.iterdir()] == ["bad.xlsx"]


def test_same_changes_give_the_same_bytes(source: Path) -> None:
    changes: dict[Address, Change] = {at("A1"): NewInput(9.0), at("C1"): NewInput("x")}
    assert changed(source, changes, "one.xlsx").read_bytes() == changed(source, changes, "two.xlsx").read_bytes()


def test_macros_keep_their_ending(source: Path) -> None:
    with zipfile.ZipFile(source, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"\xd0\xcf\x11\xe0")
    with_macros = source.rename(source.with_suffix(".xlsm"))
    with pytest.raises(BookError, match="with macros"):
        write_copy(with_macros, with_macros.with_name("target.xlsx"), {})
