"""Validation, conditional formats, protection, hidden and merged cells, notes.

Sources: the writing libraries (XlsxWriter, openpyxl) say what they wrote; hand-made XML follows
ECMA-376 part 1, 18.3.1.
"""

from __future__ import annotations

from pathlib import Path

import openpyxl
import xlsxwriter
from openpyxl.comments import Comment
from openpyxl.worksheet.datavalidation import DataValidation

from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Sheet, Validation
from tests.workbook.raw import raw_book


def written(tmp_path: Path) -> Sheet:
    path = tmp_path / "book.xlsx"
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Data")
    unlocked = book.add_format({"locked": False, "num_format": "0.0", "bg_color": "#FFF2CC", "font_color": "#1F4E79"})
    hidden = book.add_format({"hidden": True, "num_format": 14})
    sheet.write("A1", 1.5, unlocked)
    sheet.write("A2", 45306, hidden)
    sheet.data_validation(
        "A1:A5", {"validate": "decimal", "criteria": ">=", "value": 0.5, "error_message": "no", "input_message": "in"}
    )
    sheet.data_validation("B1", {"validate": "list", "source": "=$D$1:$D$3", "ignore_blank": False})
    sheet.conditional_format("C1:C9", {"type": "formula", "criteria": "=$A1>3", "format": unlocked})
    sheet.conditional_format("D1:D9", {"type": "2_color_scale"})
    sheet.merge_range("F1:G2", "m")
    sheet.set_row(4, None, None, {"hidden": True})
    sheet.set_column("H:J", None, None, {"hidden": True})
    sheet.write_comment("A1", "first\nsecond")
    sheet.protect("", {"sort": True})
    book.close()
    return read_snapshot(path).sheets[0]


def test_rules_of_a_written_sheet(tmp_path: Path) -> None:
    sheet = written(tmp_path)
    assert sheet.validations == (
        Validation(("A1:A5",), "decimal", "greaterThanOrEqual", "0.5", "", True, "no", "in"),
        Validation(("B1",), "list", "between", "$D$1:$D$3", "", False, "", ""),
    )
    assert ("C1:C9", "$A1>3") in sheet.conditional_formats
    assert ("D1:D9", "") in sheet.conditional_formats
    assert sheet.merged == ("F1:G2",)
    assert sheet.hidden_rows == {5}
    assert sheet.hidden_columns == {8, 9, 10}
    assert sheet.comments == {(1, 1): "first\nsecond"}
    assert sheet.protected
    assert sheet.protection_options["sort"] == "0"


def test_formats_of_a_written_sheet(tmp_path: Path) -> None:
    written(tmp_path)
    snapshot = read_snapshot(tmp_path / "book.xlsx")
    cells = snapshot.sheets[0].cells
    first, second = snapshot.styles[cells[(1, 1)].style], snapshot.styles[cells[(2, 1)].style]
    assert (first.number_format, first.locked, first.is_date) == ("0.0", False, False)
    assert (first.fill_color, first.font_color) == ("FFF2CC", "1F4E79")
    assert (second.number_format, second.locked, second.hidden_formula, second.is_date) == (
        "mm-dd-yy",
        True,
        True,
        True,
    )


def test_openpyxl_written_rules(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = 1
    rule = DataValidation(type="whole", operator="between", formula1="1", formula2="9", allow_blank=True)
    rule.add("A1")
    rule.add("C1:C4")
    sheet.add_data_validation(rule)
    sheet["A1"].comment = Comment("note", "somebody")
    sheet.protection.enable()
    sheet.protection.password = "abc"
    book.save(tmp_path / "book.xlsx")
    found = read_snapshot(tmp_path / "book.xlsx").sheets[0]
    assert set(found.validations[0].ranges) == {"A1", "C1:C4"}
    assert (found.validations[0].formula1, found.validations[0].formula2) == ("1", "9")
    assert found.comments == {(1, 1): "note"}
    assert found.protected
    assert found.protection_options["password"] == "set"


def test_validation_of_the_2010_extension(tmp_path: Path) -> None:
    """Source: MS-XLSX 2.4.93 and 2.6.1 (x14:dataValidations), from memory: formulas in xm:f, ranges in xm:sqref."""
    extension = (
        '<extLst><ext uri="{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}" '
        'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" '
        'xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><x14:dataValidations count="1">'
        '<x14:dataValidation type="list" allowBlank="1" error="pick"><x14:formula1><xm:f>Other!$A$1:$A$3</xm:f>'
        "</x14:formula1><xm:sqref>B2 B4:B5</xm:sqref></x14:dataValidation></x14:dataValidations></ext>"
        '<ext uri="{78C0D931-6437-407d-A8EE-F0AAD7539E65}" '
        'xmlns:x14="http://schemas.microsoft.com/office/spreadsheetml/2009/9/main" '
        'xmlns:xm="http://schemas.microsoft.com/office/excel/2006/main"><x14:conditionalFormattings>'
        '<x14:conditionalFormatting><x14:cfRule type="expression"><xm:f>Other!$A$1&gt;2</xm:f></x14:cfRule>'
        "<xm:sqref>D1</xm:sqref></x14:conditionalFormatting></x14:conditionalFormattings></ext></extLst>"
    )
    sheet = read_snapshot(raw_book(tmp_path / "book.xlsx", after=extension)).sheets[0]
    assert sheet.validations == (
        Validation(("B2", "B4:B5"), "list", "between", "Other!$A$1:$A$3", "", True, "pick", ""),
    )
    assert sheet.conditional_formats == (("D1", "Other!$A$1>2"),)


def test_hidden_columns_that_overlap_are_merged(tmp_path: Path) -> None:
    columns = "".join('<col min="1" max="99999" hidden="1"/>' for _ in range(2000))
    sheet = read_snapshot(raw_book(tmp_path / "book.xlsx", before=f"<cols>{columns}</cols>")).sheets[0]
    assert len(sheet.hidden_columns) == 16_384


def test_password_digest_is_not_carried_along(tmp_path: Path) -> None:
    after = '<sheetProtection sheet="1" hashValue="SECRET" saltValue="SALT" algorithmName="SHA-512" objects="1"/>'
    sheet = read_snapshot(raw_book(tmp_path / "book.xlsx", after=after)).sheets[0]
    assert sheet.protected
    assert "SECRET" not in str(sheet.protection_options)
    assert sheet.protection_options["hashValue"] == "set"
