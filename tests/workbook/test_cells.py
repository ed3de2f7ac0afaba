"""Values of every kind that a cell can hold. Sources: ECMA-376 part 1, 18.3.1.4 and 18.18.11, unless said otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.errors import NotAWorkbook
from quotebook.values import ErrorValue, Value
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Snapshot
from tests.workbook.raw import raw_book


def read(tmp_path: Path, rows: str, **options: str | bool) -> Snapshot:
    return read_snapshot(raw_book(tmp_path / "book.xlsx", rows, **options))


def value_of(snapshot: Snapshot, row: int = 1, column: int = 1) -> Value:
    cell = snapshot.sheets[0].cells.get((row, column))
    return None if cell is None else cell.value


def one(tmp_path: Path, cell: str, **options: str | bool) -> Value:
    return value_of(read(tmp_path, f'<row r="1">{cell}</row>', **options))


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        ('<c r="A1"><v>12.5</v></c>', 12.5),
        ('<c r="A1" t="n"><v>1E-3</v></c>', 0.001),
        ('<c r="A1"><v>-0</v></c>', 0.0),
        ('<c r="A1" t="b"><v>1</v></c>', True),
        ('<c r="A1" t="b"><v>0</v></c>', False),
        ('<c r="A1" t="b"><v>true</v></c>', True),
        ('<c r="A1" t="str"><f>"a"</f><v>a</v></c>', "a"),
        ('<c r="A1" t="str"><f>""</f><v></v></c>', ""),
        ('<c r="A1" t="str"><v xml:space="preserve"> a </v></c>', " a "),
        ('<c r="A1" t="e"><v>#N/A</v></c>', ErrorValue.NA),
        ('<c r="A1" t="e"><v>#DIV/0!</v></c>', ErrorValue.DIV0),
        # An error newer than the seven classic ones stays an error (our own rule).
        ('<c r="A1" t="e"><v>#SPILL!</v></c>', ErrorValue.VALUE),
        ('<c r="A1" t="inlineStr"><is><t>plain</t></is></c>', "plain"),
        ('<c r="A1" t="inlineStr"><is><r><t>ri</t></r><r><t>ch</t></r></is></c>', "rich"),
        ('<c r="A1"><v></v></c>', None),
        # Not a number in a number cell is kept as the text that it is (our own rule).
        ('<c r="A1"><v>12,5</v></c>', "12,5"),
        ('<c r="A1"><v>nan</v></c>', "nan"),
        ('<c r="A1"><v>1_000</v></c>', "1_000"),
    ],
)
def test_value(tmp_path: Path, cell: str, expected: Value) -> None:
    found = one(tmp_path, cell)
    assert found == expected
    assert type(found) is type(expected)


@pytest.mark.parametrize(
    ("text", "date1904", "expected"),
    [
        # By hand: 2024-01-15 is day 45306 of the 1900 system; 1,462 days fewer in the 1904 system.
        ("2024-01-15", False, 45306.0),
        ("2024-01-15", True, 43844.0),
        ("2024-01-15T12:00:00", False, 45306.5),
        ("2024-01-15T12:00:00Z", False, 45306.5),
        ("06:00:00", False, 0.25),
        # Published (ECMA-376 18.17.4.1): 1 January 1900 is 1; 28 February 59; 1 March 61, for 60 never was.
        ("1900-01-01", False, 1.0),
        ("1900-02-28", False, 59.0),
        ("1900-02-28T12:00:00", False, 59.5),
        ("1900-03-01", False, 61.0),
        ("1904-01-01", True, 0.0),
    ],
)
def test_iso_date_becomes_day_number(tmp_path: Path, text: str, date1904: bool, expected: float) -> None:
    front = '<workbookPr date1904="1"/>' if date1904 else ""
    assert one(tmp_path, f'<c r="A1" t="d"><v>{text}</v></c>', in_front=front) == pytest.approx(expected, abs=1e-9)


def test_shared_text_is_joined_without_reading_aids(tmp_path: Path) -> None:
    strings = '<si><t>a</t></si><si><r><t>b</t></r><r><rPr/><t>c</t></r><rPh sb="0" eb="1"><t>NO</t></rPh></si>'
    rows = '<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row>'
    snapshot = read(tmp_path, rows, strings=strings)
    assert (value_of(snapshot), value_of(snapshot, 1, 2)) == ("a", "bc")


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        # ECMA-376 part 1, 22.9.2.19 (ST_Xstring): _xHHHH_ stands for a character, _x005F_ for the underscore itself.
        ("a_x000D_b", "a\rb"),
        ("_x005F_x000D_", "_x000D_"),
        ("_x0009_", "\t"),
        ("_xZZZZ_", "_xZZZZ_"),
        ("_xD83D__xDE00_", "\U0001f600"),
        ("_xD83D_", "\ufffd"),
    ],
)
def test_escapes_in_text(tmp_path: Path, written: str, meant: str) -> None:
    assert one(tmp_path, '<c r="A1" t="s"><v>0</v></c>', strings=f"<si><t>{written}</t></si>") == meant


@pytest.mark.parametrize("index", ["7", "-1", "x", "", "99999999999999999999"])
def test_text_number_that_does_not_exist_is_refused(tmp_path: Path, index: str) -> None:
    with pytest.raises(NotAWorkbook, match="A1: found text number"):
        one(tmp_path, f'<c r="A1" t="s"><v>{index}</v></c>', strings="<si><t>only</t></si>")


def test_missing_addresses_count_on(tmp_path: Path) -> None:
    # ECMA-376 18.3.1.4 and 18.3.1.73: r is optional; without it a cell follows the one before.
    rows = '<row><c><v>1</v></c><c r="D1"><v>2</v></c><c><v>3</v></c></row><row><c><v>4</v></c></row>'
    cells = read(tmp_path, rows).sheets[0].cells
    assert {key: cell.value for key, cell in cells.items()} == {(1, 1): 1.0, (1, 4): 2.0, (1, 5): 3.0, (2, 1): 4.0}


def test_rows_and_cells_out_of_order(tmp_path: Path) -> None:
    rows = '<row r="9"><c r="C9"><v>1</v></c><c r="A9"><v>2</v></c></row><row r="2"><c r="A2"><v>3</v></c></row>'
    cells = read(tmp_path, rows).sheets[0].cells
    assert {key: cell.value for key, cell in cells.items()} == {(9, 3): 1.0, (9, 1): 2.0, (2, 1): 3.0}


def test_a_stated_range_is_not_believed(tmp_path: Path) -> None:
    # ECMA-376 18.3.1.35: the dimension is information for the reader, no limit.
    rows = '<row r="9" spans="1:1"><c r="C9"><v>1</v></c></row>'
    path = raw_book(tmp_path / "book.xlsx", rows, before='<dimension ref="A1"/>')
    assert {key: cell.value for key, cell in read_snapshot(path).sheets[0].cells.items()} == {(9, 3): 1.0}


def test_second_cell_for_an_address_wins_and_is_recorded(tmp_path: Path) -> None:
    rows = '<row r="1"><c r="A1"><v>1</v></c><c r="A1"><v>2</v></c></row><row r="1"><c r="A1"><f>B1</f></c></row>'
    snapshot = read(tmp_path, rows)
    assert snapshot.sheets[0].cells[(1, 1)].formula == "B1"
    assert snapshot.duplicates == ("Data!A1", "Data!A1")


def test_blank_cells_are_kept_only_for_their_format(tmp_path: Path) -> None:
    styles = '<cellXfs><xf/><xf><protection locked="0"/></xf></cellXfs>'
    cells = read(tmp_path, '<row r="1"><c r="A1"/><c r="B1" s="1"/><c r="C1" s="9"/></row>', styles=styles)
    assert list(cells.sheets[0].cells) == [(1, 2)]
    assert cells.sheets[0].cells[(1, 2)].style == 1


@pytest.mark.parametrize("address", ["ZZZZ9", "A0", "A1048577", "XFE1", "1A", "", "A1:B2"])
def test_impossible_address_is_refused(tmp_path: Path, address: str) -> None:
    with pytest.raises(NotAWorkbook, match="cell address"):
        one(tmp_path, f'<c r="{address}"><v>1</v></c>')


def test_last_cell_of_a_sheet_is_possible(tmp_path: Path) -> None:
    # Published limit: 1,048,576 rows and 16,384 columns (ECMA-376 / the program's own specification page).
    cells = read(tmp_path, '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>').sheets[0].cells
    assert list(cells) == [(1_048_576, 16_384)]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    from tests.workbook.raw import SHEET_PART, parts_of, write_parts

    parts = parts_of('<row r="1"><c r="A1" t="inlineStr"><is><t>Größe</t></is></c></row>')
    text = f'<?xml version="1.0" encoding="{encoding}"?>{parts[SHEET_PART]!s}'
    parts[SHEET_PART] = text.encode(encoding)
    assert value_of(read_snapshot(write_parts(tmp_path / "book.xlsx", parts))) == "Größe"


def test_strict_namespaces_read_alike(tmp_path: Path) -> None:
    assert value_of(read(tmp_path, '<row r="1"><c r="A1"><v>5</v></c></row>', strict=True)) == 5.0


def test_prefixed_elements_read_alike(tmp_path: Path) -> None:
    from tests.workbook.raw import MAIN, SHEET_PART, parts_of, write_parts

    parts = parts_of()
    parts[SHEET_PART] = (
        f'<x:worksheet xmlns:x="{MAIN}"><x:sheetData><x:row r="1"><x:c r="A1"><x:v>5</x:v></x:c></x:row>'
        "</x:sheetData></x:worksheet>"
    )
    assert value_of(read_snapshot(write_parts(tmp_path / "book.xlsx", parts))) == 5.0


def test_large_sheet_read_row_by_row_gives_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = "".join(f'<row r="{n}"><c r="B{n}"><f>A{n}</f><v>{n}</v></c></row>' for n in range(1, 50))
    after = '<mergeCells count="1"><mergeCell ref="C1:D2"/></mergeCells>'
    path = raw_book(tmp_path / "book.xlsx", rows, after=after)
    whole = read_snapshot(path)
    monkeypatch.setattr("quotebook.workbook.sheet_reader._WHOLE_UP_TO", 0)
    assert read_snapshot(path) == whole
    assert len(whole.sheets[0].cells) == 49
