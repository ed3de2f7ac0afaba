"""The snapshot against two independent readers of the same files: openpyxl and python-calamine."""

from __future__ import annotations

import datetime
import time
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from openpyxl.styles.numbers import BUILTIN_FORMATS
from openpyxl.styles.numbers import is_date_format as openpyxl_is_date
from openpyxl.worksheet.formula import ArrayFormula
from python_calamine import CalamineWorkbook

from quotebook.values import ErrorValue, Value
from quotebook.workbook.dates import serial_of
from quotebook.workbook.number_formats import built_in_format, is_date_format
from quotebook.workbook.reader import read_snapshot


def write_varied(path: Path, sheets: int = 3, rows: int = 40) -> Path:
    """Write a workbook with every common kind of cell."""
    book = xlsxwriter.Workbook(path, {"default_date_format": "yyyy-mm-dd"})
    bold, percent = book.add_format({"bold": True}), book.add_format({"num_format": "0.0%"})
    for number in range(sheets):
        sheet = book.add_worksheet(f"Sheet {number}")
        for row in range(rows):
            sheet.write_number(row, 0, row * 1.1 - 7, percent)
            sheet.write_string(row, 1, f" text {row} <&> ä\n")
            sheet.write_formula(row, 2, f'=IF(A{row + 1}>0,A{row + 1}*2,"none")', None, row * 2.2)
            sheet.write_boolean(row, 3, row % 2 == 0)
            sheet.write_datetime(row, 4, datetime.datetime(2024, 1, 1 + row % 28, 6 * (row % 4)))
            sheet.write_formula(row, 5, f'="a"&B{row + 1}', None, f"a{row}")
            sheet.write_formula(row, 6, "=NA()", None, "#N/A")
        sheet.write_rich_string(rows, 0, "plain ", bold, "bold", " end")
        sheet.write_array_formula(rows + 1, 0, rows + 2, 0, "{=A1:A2*2}", None, 4.5)
        sheet.write_number(rows + 2, 0, 5.5)
    book.close()
    return path


@pytest.fixture(scope="module")
def varied(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_varied(tmp_path_factory.mktemp("varied") / "book.xlsx")


def as_snapshot_value(value: object) -> Value:
    """Return a witness's value in our terms; dates become day numbers, error texts become errors."""
    if isinstance(value, datetime.date):
        return serial_of(value)
    if isinstance(value, str) and value in {error.value for error in ErrorValue}:
        return ErrorValue(value)
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    assert isinstance(value, int | float)
    return float(value)


def test_values_and_formulas_agree_with_openpyxl(varied: Path) -> None:
    snapshot = read_snapshot(varied)
    values, formulas = openpyxl.load_workbook(varied, data_only=True), openpyxl.load_workbook(varied)
    compared = 0
    for sheet in snapshot.sheets:
        for row in formulas[sheet.title].iter_rows():
            for cell in row:
                ours = sheet.cells.get((cell.row, cell.column))
                text = cell.value.text if isinstance(cell.value, ArrayFormula) else cell.value
                has_formula = cell.data_type == "f"
                assert (ours.formula if ours else None) == (str(text).removeprefix("=") if has_formula else None)
                stored = as_snapshot_value(values[sheet.title].cell(cell.row, cell.column).value)
                found = ours.value if ours else None
                if isinstance(stored, float):
                    assert found == pytest.approx(stored, abs=1e-9)
                else:
                    assert found == stored
                compared += 1
    assert compared >= 3 * 40 * 7


def test_formats_and_locks_agree_with_openpyxl(varied: Path) -> None:
    snapshot = read_snapshot(varied)
    witness = openpyxl.load_workbook(varied)
    for sheet in snapshot.sheets:
        for (row, column), cell in sheet.cells.items():
            other = witness[sheet.title].cell(row, column)
            style = snapshot.styles[cell.style]
            assert style.number_format == other.number_format
            assert style.locked == other.protection.locked
            assert style.is_date == other.is_date or cell.value is None or isinstance(cell.value, str)


def test_values_agree_with_calamine(varied: Path) -> None:
    """calamine gives dates as dates, errors as blanks, and no difference between blank and empty text."""
    snapshot = read_snapshot(varied)
    witness = CalamineWorkbook.from_path(str(varied))
    compared = 0
    for sheet in snapshot.sheets:
        rows = witness.get_sheet_by_name(sheet.title).to_python(skip_empty_area=False)
        for row, cells in enumerate(rows, start=1):
            for column, value in enumerate(cells, start=1):
                ours = sheet.cells.get((row, column))
                found = ours.value if ours else None
                if isinstance(found, ErrorValue):
                    continue
                expected = as_snapshot_value(value)
                assert (found or "" if not isinstance(found, bool | float) else found) == (
                    pytest.approx(expected, abs=1e-9) if isinstance(expected, float) else expected
                )
                compared += 1
    assert compared >= 3 * 40 * 6


def test_built_in_formats_agree_with_openpyxl() -> None:
    """The forms with a currency sign and 44 differ in writing only: openpyxl leaves the quotes out of some."""
    for number, text in BUILTIN_FORMATS.items():
        if number not in (5, 6, 7, 8, 44):
            assert built_in_format(number) == text, number


@pytest.mark.parametrize(
    "code",
    [
        *(text for number, text in BUILTIN_FORMATS.items()),
        "yyyy-mm-dd",
        "[$-407]d. mmmm yyyy",
        '0.00" days"',
        '"month" 0',
        "[Red]0.00",
        "[h]:mm",
        "[ss]",
        r"0\d",
        "0.00_m",
        "#,##0 [$EUR];[Red]-#,##0 [$EUR]",
        "General",
        "@",
        '0;"d"',
    ],
)
def test_date_formats_agree_with_openpyxl(code: str) -> None:
    assert is_date_format(code) == openpyxl_is_date(code)


def test_dates_agree_with_openpyxl() -> None:
    from openpyxl.utils.datetime import CALENDAR_MAC_1904, to_excel

    for day in (1, 31, 59, 60, 61, 62, 400, 20_000, 45_306):
        moment = datetime.datetime(1899, 12, 31) + datetime.timedelta(days=day, hours=6)
        assert serial_of(moment) == pytest.approx(to_excel(moment), abs=1e-9)
    moment = datetime.datetime(2024, 1, 15, 12)
    assert serial_of(moment, date1904=True) == pytest.approx(to_excel(moment, CALENDAR_MAC_1904), abs=1e-9)


def test_reading_takes_less_work_than_openpyxl(tmp_path: Path) -> None:
    """A bound that holds on any machine: our one pass against one of the two loads that openpyxl would need.

    Processor time of this process, the best of five alternating runs, so that a busy machine does not matter.
    """
    path = write_varied(tmp_path / "book.xlsx", sheets=6, rows=60)
    readers = (read_snapshot, openpyxl.load_workbook)
    best = [float("inf"), float("inf")]
    for _ in range(5):
        for number, reader in enumerate(readers):
            start = time.process_time()
            reader(path)
            best[number] = min(best[number], time.process_time() - start)
    assert best[0] < best[1]
