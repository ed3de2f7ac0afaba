"""Array formulas that spill: read with what the metadata say of them, remembered without mixing files, never damaged.

Source: ECMA-376 part 1, 18.3.1.4 (cm, vm) and 18.9 (metadata); the published schema of dynamic arrays (fDynamic).
"""

from __future__ import annotations

import re
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter

from quotebook.flows.audit import audit_file
from quotebook.flows.marking import marked_bytes
from quotebook.flows.recompute import recompute
from quotebook.values import Address, ErrorValue
from quotebook.workbook.changes import Change, NewInput, NewResult
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.row_memory import RowMemory
from quotebook.workbook.snapshot import Spilling
from tests.workbook.spilling import BLOCKED, with_blocked

FIRST = (2, 5)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A formula in E2 over five rows with a text in E4, one in G2 that has room, an array of the old kind in I2:I3."""
    made = xlsxwriter.Workbook(tmp_path / "spill.xlsx")
    sheet = made.add_worksheet("Costs")
    for row in range(1, 6):
        sheet.write_row(row, 1, (row, 10 * row))
    sheet.write_dynamic_array_formula("E2", "=B2:B6*C2:C6", None, 10)
    sheet.write_dynamic_array_formula("G2:G6", "=B2:B6*2", None, 2)
    sheet.write_array_formula("I2:I3", "{=B2:B3*2}", None, 2)
    sheet.write_string("E4", "see drawing")
    made.close()
    return tmp_path / "spill.xlsx"


def spilling(path: Path, memory: RowMemory | None = None) -> dict[tuple[int, int], Spilling]:
    return dict(read_snapshot(path, memory).sheets[0].spilling)


def edited(path: Path, target: Path, part: str, old: str, new: str) -> Path:
    with zipfile.ZipFile(path) as before, zipfile.ZipFile(target, "w") as after:
        for name in before.namelist():
            data = before.read(name)
            if name == part:
                changed = re.sub(old, new, data.decode(), flags=re.DOTALL)
                assert changed != data.decode(), "the edit changed nothing"
                data = changed.encode()
            after.writestr(name, data)
    return target


def test_only_formulas_of_the_new_kind_spill(path: Path) -> None:
    assert spilling(path) == {(2, 5): Spilling(), (2, 7): Spilling()}


def test_how_a_blocked_result_is_stored(path: Path) -> None:
    told = {way: spilling(with_blocked(path, way))[FIRST] for way in BLOCKED}
    assert told == {
        "plain text": Spilling(True),
        "rich value": Spilling(True, (2, 0), "filled cell"),
        "rich value without a place": Spilling(True, None, "filled cell"),
    }


def test_a_blocked_formula_is_not_evaluated_and_its_error_is_read(path: Path) -> None:
    snapshot = read_snapshot(with_blocked(path, "plain text"))
    book, cell = formula_book(snapshot), Address("Costs", *FIRST)
    assert snapshot.value(cell) is ErrorValue.VALUE
    assert cell not in book.formulas
    assert cell not in book.arrays
    assert "#SPILL!" in book.opaque[cell]
    assert Address("Costs", 2, 7) in book.formulas


@pytest.mark.parametrize(
    ("part", "old", "new"),
    [
        ("xl/metadata.xml", 'fDynamic="1"', 'fDynamic="0"'),
        ("xl/metadata.xml", 'name="XLDAPR"', 'name="ANOTHER"'),
        ("xl/metadata.xml", "<cellMetadata.*</cellMetadata>", ""),
        ("xl/metadata.xml", '<rc t="1" v="0"/>', '<rc t="1" v="7"/>'),
        ("xl/metadata.xml", '<rc t="1" v="0"/>', '<rc t="99999999999999" v="-1"/>'),
        ("xl/metadata.xml", "</metadata>", ""),
        ("xl/_rels/workbook.xml.rels", "metadata.xml", "nowhere.xml"),
        ("xl/worksheets/sheet1.xml", 'cm="1"', 'cm="2"'),
        ("xl/worksheets/sheet1.xml", 'cm="1"', 'cm="x"'),
    ],
)
def test_numbers_that_lead_nowhere_mean_nothing(path: Path, tmp_path: Path, part: str, old: str, new: str) -> None:
    assert spilling(edited(path, tmp_path / "odd.xlsx", part, old, new)) == {}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("<v>8</v>", "<v>13</v>"),  # another error
        ("<v>8</v>", "<v>eight</v>"),
        ('<rv s="0">', '<rv s="5">'),
        ("</rvData>", ""),
    ],
)
def test_rich_values_that_are_no_blocked_result(path: Path, tmp_path: Path, old: str, new: str) -> None:
    blocked = with_blocked(path, "rich value")
    odd = edited(blocked, tmp_path / "odd.xlsx", "xl/richData/rdrichvalue.xml", re.escape(old), new)
    assert not any(one.is_blocked for one in spilling(odd).values())


def test_a_distance_beyond_the_sheet_is_none(path: Path, tmp_path: Path) -> None:
    blocked = with_blocked(path, "rich value")
    odd = edited(blocked, tmp_path / "odd.xlsx", "xl/richData/rdrichvalue.xml", "<v>2</v>", "<v>9999999</v>")
    assert spilling(odd)[FIRST] == Spilling(True, None, "filled cell")


def test_a_batch_gives_each_file_its_own_meaning(path: Path, tmp_path: Path) -> None:
    """The sheets are the same, byte for byte; only the metadata differ, and with them the meaning."""
    other = edited(path, tmp_path / "other.xlsx", "xl/metadata.xml", 'fDynamic="1"', 'fDynamic="0"')
    blocked = with_blocked(path, "rich value")
    classic = edited(blocked, tmp_path / "classic.xlsx", "xl/richData/rdrichvalue.xml", "<v>8</v>", "<v>13</v>")
    files = (path, other, blocked, classic)
    memory = RowMemory()
    for _ in range(2):
        for file in (*files, *files[::-1]):
            assert spilling(file, memory) == spilling(file)
            assert read_snapshot(file, memory) == read_snapshot(file)


def test_an_array_formula_is_not_remembered_as_a_row_however_it_is_written(path: Path, tmp_path: Path) -> None:
    part = "xl/worksheets/sheet1.xml"
    tabs = edited(path, tmp_path / "tabs.xlsx", part, "<f t=", "<f\tt=")
    longer = edited(
        tabs, tmp_path / "longer.xlsx", part, "</sheetData>", '<row r="99"><c r="A99"><v>1</v></c></row></sheetData>'
    )
    memory = RowMemory()
    read_snapshot(tabs, memory)
    assert read_snapshot(longer, memory) == read_snapshot(longer)
    assert read_snapshot(longer).sheets[0].cells[3, 9].part_of_array


# -- writing ------------------------------------------------------------------------------------


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as package:
        return {name: package.read(name) for name in package.namelist()}


def cell_tag(path: Path, cell: str) -> str:
    found = re.search(rf'<c r="{cell}"[^>]*>', parts(path)["xl/worksheets/sheet1.xml"].decode())
    assert found is not None
    return found[0]


@pytest.mark.parametrize(
    "changes",
    [
        {Address("Costs", 9, 1): NewInput("typed")},
        {Address("Costs", 2, 2): NewInput(7.0)},  # in the very row of the formulas
        {Address("Costs", 4, 5): NewInput(None)},  # what is in the way
    ],
)
def test_a_change_elsewhere_keeps_formula_numbers_and_metadata(
    path: Path, tmp_path: Path, changes: dict[Address, Change]
) -> None:
    source, target = with_blocked(path, "rich value"), tmp_path / "copy.xlsx"
    write_copy(source, target, changes)
    before, after = parts(source), parts(target)
    for name in before:
        if name != "xl/worksheets/sheet1.xml":
            assert after[name] == before[name], name
    for cell in ("E2", "G2", "I2"):
        assert cell_tag(target, cell) == cell_tag(source, cell)
    assert 'cm="1" vm="1"' in cell_tag(target, "E2")
    assert spilling(target) == spilling(source)


def test_a_fresh_result_keeps_the_kind_of_formula_and_drops_the_old_value_s_extra(path: Path, tmp_path: Path) -> None:
    source, target = with_blocked(path, "rich value"), tmp_path / "copy.xlsx"
    write_copy(source, target, {Address("Costs", *FIRST): NewResult(10.0)})
    assert 'cm="1"' in cell_tag(target, "E2")
    assert "vm=" not in cell_tag(target, "E2")
    assert spilling(target)[FIRST] == Spilling()
    assert parts(target)["xl/metadata.xml"] == parts(source)["xl/metadata.xml"]


def test_recomputing_and_marking_leave_the_blocked_formula_as_it_is(path: Path, tmp_path: Path) -> None:
    source, target = with_blocked(path, "rich value"), tmp_path / "copy.xlsx"
    recompute(source, save_as=target)
    assert cell_tag(target, "E2") == cell_tag(source, "E2")
    assert spilling(target) == spilling(source)
    marked = tmp_path / "marked.xlsx"
    marked.write_bytes(marked_bytes(audit_file(source)))
    before, after = parts(source), parts(marked)
    for name in before:
        if name.startswith("xl/richData/") or name == "xl/metadata.xml":
            assert after[name] == before[name], name
    assert 'cm="1" vm="1"' in cell_tag(marked, "E2")
    assert spilling(marked) == spilling(source)
    assert openpyxl.load_workbook(marked)["Costs"]["E2"].comment is not None
