"""Array formulas whose result has no room: as the file says it, and as the size of the result shows it.

Sources: the catalogue of checks, row H11. What metadata and rich values mean: ECMA-376 part 1, 18.9 (metadata), and the
published schemas of dynamic arrays and rich values; that errorType 8 is #SPILL! and that rwOffset and colOffset lead to
the first cell in the way, from descriptions of files that a spreadsheet program saved. When a result is blocked: the
program's help on #SPILL! (filled cell, merged cells, table, edge of the sheet).
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
import xlsxwriter

from quotebook.audit.checks import blocked_spill
from quotebook.audit.finding import Finding, Severity
from quotebook.audit.runner import audit_view
from quotebook.audit.spill import size_of
from quotebook.audit.view import BookView
from quotebook.engine.book import FormulaBook
from quotebook.flows.audit import audit_file, view_of
from quotebook.flows.opening import open_workbook
from quotebook.values import Address
from quotebook.workbook.snapshot import Snapshot
from tests.workbook.spilling import BLOCKED, with_blocked

Sheet = xlsxwriter.worksheet.Worksheet


def book(path: Path, shape: Callable[[Sheet], None], formula: str = "=B2:B6*C2:C6", ref: str = "E2") -> Path:
    """A list in B2:C6, a price in B20, and a formula in E2 that spills over E2:E6 and was never calculated."""
    made = xlsxwriter.Workbook(path)
    sheet = made.add_worksheet("Costs")
    for row in range(1, 6):
        sheet.write_row(row, 1, (row, 10 * row))
    sheet.write_dynamic_array_formula(ref, formula, None, 10)
    sheet.write_string("A20", "Unit price")
    sheet.write_formula("B20", "=SUM(B2:C6)", None, 165)
    shape(sheet)
    made.close()
    return path


def said(path: Path) -> list[Finding]:
    return list(blocked_spill.find(view_of(open_workbook(path))))


def text(cell: str) -> Callable[[Sheet], object]:
    return lambda sheet: sheet.write_string(cell, "see drawing")


def nothing(sheet: Sheet) -> None:
    """Leave the sheet as it is."""


def in_table(sheet: Sheet) -> None:
    sheet.add_table("E1:F9")


WAYS: dict[str, tuple[Callable[[Sheet], object], str]] = {
    "a typed cell": (text("E4"), 'E4, a typed cell that holds "see drawing"'),
    "a formula": (lambda sheet: sheet.write_formula("E6", "=B2", None, 1), "E6, a formula that holds =B2"),
    "a number that is 0": (lambda sheet: sheet.write_number("E3", 0), "E3, a typed cell that holds 0"),
    "merged cells": (lambda sheet: sheet.merge_range("D5:F5", ""), "D5, merged cells"),
    "a table": (in_table, "the table that the formula stands in"),
}


@pytest.mark.parametrize("way", WAYS)
def test_what_stands_in_the_way_is_named(way: str, tmp_path: Path) -> None:
    shape, told = WAYS[way]
    (finding,) = said(book(tmp_path / "a.xlsx", shape))
    assert (finding.sheet, finding.cells, finding.severity) == ("Costs", "E2", Severity.LOOK_AT_IT)
    assert finding.found.startswith("at the next calculation #SPILL! from =")
    assert finding.expected == "room for the whole result, E2:E6"
    assert told in str(finding.evidence[0])
    assert finding.mend


ROOM: dict[str, tuple[Callable[[Sheet], object], str, str]] = {
    "nothing there": (nothing, "=B2:B6*C2:C6", "E2"),
    "a cell below the result": (text("E7"), "=B2:B6*C2:C6", "E2"),
    "a cell beside the result": (text("F3"), "=B2:B6*C2:C6", "E2"),
    "a format alone": (lambda sheet: sheet.set_column("E:E", 12), "=B2:B6*C2:C6", "E2"),
    "one figure": (text("E3"), "=SUM(B2:B6*C2:C6)", "E2"),
    "one figure, chosen": (text("E3"), "=@B2:B6", "E2"),
    "a size that depends on figures": (text("E3"), "=_xlfn._xlws.FILTER(B2:B6,C2:C6>20)", "E2"),
    "a result saved in full": (text("E7"), "=B2:B6*C2:C6", "E2:E6"),
}


@pytest.mark.parametrize("way", ROOM)
def test_a_result_that_has_room_or_whose_size_is_unknown_is_not_told(way: str, tmp_path: Path) -> None:
    shape, formula, ref = ROOM[way]
    assert said(book(tmp_path / "a.xlsx", shape, formula, ref)) == []


def test_an_array_formula_of_the_old_kind_spreads_over_nothing(tmp_path: Path) -> None:
    made = xlsxwriter.Workbook(tmp_path / "a.xlsx")
    sheet = made.add_worksheet("Costs")
    sheet.write_array_formula("E2:E2", "{=B2:B6*C2:C6}", None, 10)
    sheet.write_string("E3", "note")
    made.close()
    assert said(tmp_path / "a.xlsx") == []


@pytest.mark.parametrize("stored", BLOCKED)
def test_what_the_file_says_of_a_blocked_result(stored: str, tmp_path: Path) -> None:
    """In each way of storing it, with a formula whose size only the program knows."""
    path = book(tmp_path / "a.xlsx", text("E4"), "=_xlfn._xlws.FILTER(B2:B6,C2:C6>0)")
    (finding,) = said(with_blocked(path, stored))
    assert finding.found.startswith("#SPILL! from =FILTER" if "=FILTER" in finding.found else "#SPILL! from =")
    knows_place = stored == "rich value"
    assert ("E4, filled cell" in str(finding.evidence[0])) is knows_place
    assert ("which cell is not known" in str(finding.evidence[0])) is not knows_place
    assert finding.effect_on_price is None


def test_what_was_in_the_way_at_the_last_save_and_is_gone(tmp_path: Path) -> None:
    path = with_blocked(book(tmp_path / "a.xlsx", nothing, "=_xlfn._xlws.FILTER(B2:B6,C2:C6>0)"), "rich value")
    (finding,) = said(path)
    assert "which cell is not known" in str(finding.evidence[0])


def test_the_edge_of_the_sheet(tmp_path: Path) -> None:
    (finding,) = said(book(tmp_path / "a.xlsx", nothing, "=B:B*2"))
    assert "the edge of the sheet" in str(finding.evidence[0])


def test_a_price_behind_a_blocked_formula_makes_it_graver(tmp_path: Path) -> None:
    def priced(sheet: Sheet) -> None:
        sheet.write_string("E4", "see drawing")
        sheet.write_formula("B20", "=SUM(E2:E6)", None, 10)

    for path in (book(tmp_path / "a.xlsx", priced), with_blocked(book(tmp_path / "b.xlsx", priced), "rich value")):
        (finding,) = said(path)
        assert finding.severity is Severity.PROBABLY_WRONG
        assert "the price depends on it" in str(finding.evidence[0])


def test_the_whole_audit_tells_it_once_and_names_the_blocked_formula(tmp_path: Path) -> None:
    path = with_blocked(book(tmp_path / "a.xlsx", text("E4")), "rich value")
    audited = audit_file(path)
    assert audited.error is None
    (finding,) = audited.findings
    assert (finding.check, finding.cells) == ("blocked-spill", "E2")
    assert "also not-recomputed" in str(finding.evidence[1]), "what follows from it is folded into it"


SIZES = {
    "A1:A5*B1:D1": (5, 3),
    "-A1:A5": (5, 1),
    "A1:A5&B1:B5&C1:C5": (5, 1),
    "{1,2,3;4,5,6}": (2, 3),
    "ROUND(A1:A5/B1,2)": (5, 1),
    "VLOOKUP(A1:A4,F1:G9,2,FALSE)": (4, 1),
    "SUMPRODUCT(A1:A5,B1:B5)": (1, 1),
    "IFERROR(A1:A5/B1:B5,0)": (5, 1),
    "IF(A1:A5>2,B1:B5,0)": (5, 1),
    "IF(A1>2,B1:B5,0)": None,
    "IF(A1>2,B1:B5,C1:C5)": (5, 1),
    "TRANSPOSE(A1:A5)": (1, 5),
    "_xlfn._xlws.SORT(A1:B5)": (5, 2),
    "_xlfn.SEQUENCE(4,2)": (4, 2),
    "_xlfn.SEQUENCE(A1)": None,
    "_xlfn._xlws.FILTER(A1:A5,B1:B5)": None,
    "INDEX(A1:B5,0,1)": None,
    "Prices*2": (3, 1),
    "Unheard*2": (1, 1),
    "A1:A5+": None,
}


@pytest.mark.parametrize("formula", SIZES)
def test_the_size_of_a_result(formula: str) -> None:
    """Worked out by hand from how results spread over each other."""
    cell = Address("S", 20, 9)
    names = {(None, "Prices"): "S!$A$1:$A$3"}
    view = BookView(Snapshot(Path("x.xlsx"), ()), FormulaBook(("S",), {cell: formula}, {}, names))
    assert size_of(view, cell, formula) == SIZES[formula]


def test_names_that_call_each_other_twice_end() -> None:
    names = {(None, f"n{number}"): f"n{number + 1}+n{number + 1}" for number in range(60)} | {(None, "n60"): "n60"}
    cell = Address("S", 1, 1)
    view = BookView(Snapshot(Path("x.xlsx"), ()), FormulaBook(("S",), {cell: "n0"}, {}, names))
    assert size_of(view, cell, "n0") is None


def test_thousands_of_blocked_formulas_end_in_time(tmp_path: Path) -> None:
    made = xlsxwriter.Workbook(tmp_path / "a.xlsx")
    sheet = made.add_worksheet("Costs")
    for row in range(3000):
        sheet.write_dynamic_array_formula(row, 0, row, 0, "=B1:ZZ9999*1", None, 1)
    made.close()
    audited = audit_view(view_of(open_workbook(tmp_path / "a.xlsx")))
    told = [one for one in audited.findings if one.check == "blocked-spill"]
    assert told or any(one.check == "blocked-spill" for one in audited.not_judged)


def test_metadata_that_cannot_be_read_say_nothing(tmp_path: Path) -> None:
    path = book(tmp_path / "a.xlsx", text("E4"))
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(tmp_path / "b.xlsx", "w") as new:
        for name in old.namelist():
            new.writestr(name, b"<metadata" if name == "xl/metadata.xml" else old.read(name))
    assert said(tmp_path / "b.xlsx") == []
