"""Reading with a memory of rows gives what reading without gives, to the last cell, whatever the bytes look like.

Source of every expectation: the same file read as a whole, which other tests hold against other readers.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

from quotebook.errors import BookError
from quotebook.flows.opening import open_workbook
from quotebook.workbook.cell_reader import CellReader
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.row_memory import RowMemory
from quotebook.workbook.snapshot import Cell, Snapshot
from tests.libreoffice import needs_libreoffice, recalculate

_NAMESPACE = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def same(one: Snapshot, other: Snapshot) -> bool:
    """Tell whether two readings are equal, also in the order of the cells."""
    orders = [[list(sheet.cells) for sheet in each.sheets] for each in (one, other)]
    return one == other and orders[0] == orders[1]


def sheet_file(path: Path, rows: str, around: str = "<sheetData>{}</sheetData>") -> Path:
    """Write a workbook whose one sheet holds the rows given as XML."""
    book = openpyxl.Workbook()
    kept = io.BytesIO()
    book.save(kept)
    with zipfile.ZipFile(kept) as old, zipfile.ZipFile(path, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                data = f"<worksheet {_NAMESPACE}>{around.format(rows)}</worksheet>".encode()
            new.writestr(entry, data)
    return path


@pytest.mark.parametrize("saved_by", ["us", "openpyxl", pytest.param("LibreOffice", marks=[
    pytest.mark.libreoffice, needs_libreoffice])])  # fmt: skip
def test_a_second_reading_takes_rows_from_the_first(saved_by: str, metric_file: Path, tmp_path: Path) -> None:
    path = metric_file
    if saved_by == "openpyxl":
        path = tmp_path / "again.xlsx"
        openpyxl.load_workbook(metric_file).save(path)
    elif saved_by == "LibreOffice":
        path = recalculate([metric_file], tmp_path)[metric_file]
    memory, plain = RowMemory(), read_snapshot(path)
    assert same(read_snapshot(path, memory), plain)
    assert memory._young
    learned = len(memory._young)
    assert same(read_snapshot(path, memory), plain)
    assert len(memory._young) < learned * 1.05  # only rows with formulas over several cells are read again


def test_a_sheet_of_which_everything_is_known_is_not_read_again(
    metric_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A copy in which one text is another: its sheet is read again, all others are taken as they were."""
    changed, word = tmp_path / "changed.xlsx", read_snapshot(metric_file).sheets[0].cells[1, 1].value
    assert isinstance(word, str)
    assert word
    with zipfile.ZipFile(metric_file) as old, zipfile.ZipFile(changed, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "xl/sharedStrings.xml":
                assert data.count(f">{word}<".encode()) == 1
                data = data.replace(f">{word}<".encode(), b">Something else<")
            new.writestr(entry, data)
    memory = RowMemory()
    read_snapshot(metric_file, memory)
    cut = []
    ordinary = RowMemory.cut
    monkeypatch.setattr(RowMemory, "cut", lambda self, part, texts: (cut.append(part), ordinary(self, part, texts))[1])
    assert same(read_snapshot(metric_file, memory), read_snapshot(metric_file))
    spanning = len(cut)  # sheets with a text that is not told by its row
    found = read_snapshot(changed, memory)
    assert found.sheets[0].cells[1, 1].value == "Something else"
    assert same(found, read_snapshot(changed))
    holding = [sheet for sheet in found.sheets if any(c.value == "Something else" for c in sheet.cells.values())]
    assert len(cut) == 2 * spanning + len(holding) < len(found.sheets)


def test_fields_are_where_each_file_says_though_all_its_sheets_are_known(metric_file: Path, tmp_path: Path) -> None:
    """A copy in which one name points a row further down and one points nowhere; both files share their contract."""
    moved = tmp_path / "moved.xlsx"
    with zipfile.ZipFile(metric_file) as old, zipfile.ZipFile(moved, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "xl/workbook.xml":
                data, found = re.subn(rb'(name="customer_name"[^>]*>Job!\$B\$)\d+', rb"\g<1>77", data)
                assert found == 1
                data, found = re.subn(rb'(name="part_number"[^>]*>)[^<]*', rb"\g<1>#REF!", data)
                assert found == 1
            new.writestr(entry, data)
    memory = RowMemory()
    plain, other, again = (open_workbook(path, memory) for path in (metric_file, moved, metric_file))
    assert plain.contract is other.contract is again.contract
    assert plain.located is not None
    assert other.located is not None
    assert plain.located == again.located
    assert other.located.fields["customer_name"].row == 77 != plain.located.fields["customer_name"].row
    assert "part_number" in other.located.lost
    assert "part_number" in plain.located.fields


def test_what_was_made_of_other_cells_is_not_taken(metric_file: Path) -> None:
    """What is worked out once for the same cells belongs to them and to their sheet's title."""
    sheet = read_snapshot(metric_file).sheets[1]
    count = sheet.made_of(count_of)
    assert count == (sheet.title, len(sheet.cells)) == sheet.made_of(count_of)
    fewer = replace(sheet, cells=dict(list(sheet.cells.items())[:3]))
    assert fewer.made_of(count_of) == (sheet.title, 3)
    assert replace(sheet, title="Other").made_of(count_of) == ("Other", len(sheet.cells))


def count_of(title: str, cells: Mapping[tuple[int, int], Cell]) -> tuple[str, int]:
    """Return what tells the two apart."""
    return title, len(cells)


def test_rows_of_a_changed_copy_are_its_own(metric_file: Path, blank_file: Path) -> None:
    memory = RowMemory()
    for path in (metric_file, blank_file, metric_file):
        assert same(read_snapshot(path, memory), read_snapshot(path))


def test_a_full_memory_forgets_and_stays_right(metric_file: Path, blank_file: Path) -> None:
    memory = RowMemory(most_bytes=20_000)
    for path in (metric_file, blank_file, metric_file, blank_file):
        assert same(read_snapshot(path, memory), read_snapshot(path))
        assert sum(len(key[1]) for key in memory._young) < 30_000


ODD: list[tuple[str, str, str]] = [
    ("plain", '<row r="1"><c r="A1"><v>1</v></c></row><row r="2" hidden="1"><c r="A2"><v>2</v></c></row>', ""),
    ("no numbers", "<row><c><v>1</v></c></row><row><c><v>2</v></c></row>", ""),
    ("out of order", '<row r="2"><c r="A2"><v>1</v></c></row><row r="1"><c r="A1"><v>2</v></c></row>', ""),
    ("a row twice", '<row r="1"><c r="A1"><v>1</v></c></row><row r="1"><c r="A1"><v>2</v></c></row>', ""),
    ("a cell of another row", '<row r="1"><c r="A2"><v>1</v></c></row><row r="2"><c r="A2"><v>2</v></c></row>', ""),
    ("a cell twice", '<row r="1"><c r="A1"><v>1</v></c><c r="A1"><v>2</v></c></row>', ""),
    ("comment like a row", '<row r="1"><!--</row><row r="2">--><c r="A1"><v>1</v></c></row>', ""),
    ("text like a row", '<row r="1"><c r="A1" t="str"><v>&lt;row r="2"></v></c></row>', ""),
    ("CDATA", '<row r="1"><c r="A1" t="str"><v><![CDATA[<row r="2"></row>]]></v></c></row>', ""),
    ("row in a row", '<row r="1"><c r="A1"><v>1</v></c><row r="2"></row></row>', ""),
    ("empty rows", '<row r="1"/><row r="4" ht="20"/><row r="5"></row>', ""),
    ("shared formula", '<row r="1"><c r="A1"><f t="shared" ref="A1:A2" si="0">B1*2</f><v>2</v></c></row>'
     '<row r="2"><c r="A2"><f t="shared" si="0"/><v>4</v></c></row>', ""),
    ("array formula", '<row r="1"><c r="A1"><f t="array" ref="A1:A2">B1:B2*2</f><v>2</v></c></row>'
     '<row r="2"><c r="A2"><v>4</v></c></row>', ""),
    ("something between", '<row r="1"><c r="A1"><v>1</v></c></row><extra><row r="2"/></extra>', ""),
    ("two sheets of data", '<row r="1"><c r="A1"><v>1</v></c></row>',
     '<sheetData>{0}</sheetData><sheetData><row r="2"><c r="A2"><v>3</v></c></row></sheetData>'),
    ("a prefix", '<x:row r="1"><x:c r="A1"><x:v>1</x:v></x:c></x:row>',
     '<x:sheetData xmlns:x="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{}</x:sheetData>'),
    ("not closed", '<row r="1"><c r="A1"><v>1</v></c>', ""),
    ("closed too often", '<row r="1"><c r="A1"><v>1</v></c></row></row>', ""),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "around"), [case[1:] for case in ODD], ids=[case[0] for case in ODD])
def test_odd_rows_are_read_as_without_a_memory(rows: str, around: str, tmp_path: Path) -> None:
    path = sheet_file(tmp_path / "odd.xlsx", rows, around or "<sheetData>{}</sheetData>")
    memory = RowMemory()
    # What the memory learned from a sound file must not help a damaged one through.
    read_snapshot(sheet_file(tmp_path / "sound.xlsx", ODD[0][1]), memory)

    def outcome(read: Callable[[], Snapshot]) -> Snapshot | str:
        try:
            return read()
        except BookError as error:
            return str(error)

    plain = outcome(lambda: read_snapshot(path))
    for _ in range(2):
        found = outcome(lambda: read_snapshot(path, memory))
        assert type(found) is type(plain)
        if isinstance(found, Snapshot) and isinstance(plain, Snapshot):
            assert same(found, plain)


def test_texts_of_another_file_are_not_mixed_up(tmp_path: Path) -> None:
    memory = RowMemory()
    for words in (("steel", "brass"), ("brass", "steel")):
        book = openpyxl.Workbook()
        for row, word in enumerate(words, start=1):
            book.worksheets[0].cell(row, 1, word)
        path = tmp_path / f"{words[0]}.xlsx"
        book.save(path)
        sheet = read_snapshot(path, memory).sheets[0]
        assert [sheet.cells[row, 1].value for row in (1, 2)] == list(words)


def texts_file(path: Path, texts: list[str], rows: str) -> Path:
    """Write a workbook with these shared texts, in this order, and a sheet of the rows given as XML."""
    items = "".join(f'<si><t xml:space="preserve">{text}</t></si>' for text in texts)
    plain = sheet_file(path.with_suffix(".plain"), rows)
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(path, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "xl/_rels/workbook.xml.rels":
                data = data.replace(b"</Relationships>", _TEXTS_RELATION + b"</Relationships>")
            if entry.filename != "xl/sharedStrings.xml":
                new.writestr(entry, data)
        new.writestr("xl/sharedStrings.xml", f"<sst {_NAMESPACE}>{items}</sst>")
    return path


_TEXTS_RELATION = (
    b'<Relationship Id="rIdTexts" Target="sharedStrings.xml" '
    b'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"/>'
)


def test_one_text_more_at_the_front_leaves_the_rows_known(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the second file every text has another number; the row that holds the same text is not read again."""
    row = '<row r="{0}"><c r="A{0}" t="s"><v>{1}</v></c></row>'
    first = texts_file(tmp_path / "1.xlsx", ["steel", "brass"], row.format(1, 0) + row.format(2, 1))
    second = texts_file(tmp_path / "2.xlsx", ["zinc", "steel", "brass"], row.format(1, 1) + row.format(2, 0))
    memory = RowMemory()
    read_snapshot(first, memory)
    read = []
    ordinary = CellReader.read_row
    monkeypatch.setattr(CellReader, "read_row", lambda self, row: (read.append(row.get("r")), ordinary(self, row))[1])
    cells = read_snapshot(second, memory).sheets[0].cells
    assert {key: cell.value for key, cell in cells.items()} == {(1, 1): "steel", (2, 1): "zinc"}
    assert read == ["2"]


@pytest.mark.parametrize(
    ("texts", "rows"),
    [
        (["5:brass", "x"], '<row r="1"><c r="A1" t="s"><v>0</v></c></row>'),
        (["a", "b"], '<row r="1"><c t="s" r="A1"><v>1</v></c></row>'),
        (["a", "b"], '<row r="1"><c r="A1" t="s"><v> 1 </v></c></row>'),
        (["a", "b"], '<row r="1"><c r="A1" t="s"><v>7</v></c></row>'),
        (["a", "b"], '<row r="1"><c r="A1" t="s"><v>01</v></c></row>'),
        (["a", "b"], '<row r="1"><c r="A1" t="s"/></row>'),
        (["a", "b"], "<row r=\"1\"><c r='A1' t='s'><v>1</v></c></row>"),
        (["a", "b"], '<row r="1"><c r="A1" t="&#115;"><v>1</v></c></row>'),
        (["a", "b"], '<row r="1"><c r="A1" t = "s"><v>1</v></c><c r="B1" t="s"><v>1</v></c></row>'),
        (["&lt;/row&gt;&lt;row ", "b"], '<row r="1"><c r="A1" t="s"><v>0</v></c></row>'),
        (["_x0000_5:brass", "b"], '<row r="1"><c r="A1" t="s"><v>0</v></c></row>'),
    ],
)
def test_odd_numbers_of_texts_are_read_as_without_a_memory(texts: list[str], rows: str, tmp_path: Path) -> None:
    """Each is read after a file in which the same bytes mean another text."""
    other = texts_file(tmp_path / "other.xlsx", ["zinc", "brass"], rows)
    path = texts_file(tmp_path / "odd.xlsx", texts, rows)
    memory = RowMemory()

    def outcome(file: Path, memory: RowMemory | None) -> list[object]:
        try:
            return [cell.value for cell in read_snapshot(file, memory).sheets[0].cells.values()]
        except BookError as error:
            return [str(error)]

    for file in (other, path, other, path):
        assert outcome(file, memory) == outcome(file, None)
