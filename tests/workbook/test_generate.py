"""The made file: equal bytes for equal input, every promise about its cells, read by other libraries as well.

What is looked at is the file itself, by openpyxl and python-calamine, and not the plan that it was made from.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import zipfile
from collections import OrderedDict
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from openpyxl.utils import range_boundaries
from python_calamine import CalamineWorkbook

from quotebook.engine import Status, evaluate
from quotebook.engine import compile as compiling
from quotebook.errors import NameRefused
from quotebook.flows.new import make_workbook
from quotebook.flows.opening import Opened, open_workbook
from quotebook.model import to_data
from quotebook.template.formulas import as_in_files
from quotebook.template.spec import FieldSpec
from quotebook.values import Address, ErrorValue
from quotebook.workbook.located import parse_reference
from quotebook.workbook.names import check_name
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.validation import validation_of
from tests.made import FEW_ROWS, formula_cells
from tests.samples import cost_plus_job, cost_plus_shop, metric_job, metric_shop

ROOT = Path(__file__).resolve().parents[2]

#: Functions that every spreadsheet program of the last ten years computes alike. MAXIFS is the youngest: in the
#: ECMA-376 list of functions stored with the prefix _xlfn, and in LibreOffice since 5.2 (release notes, from memory).
PORTABLE = {
    "ABS", "AND", "COUNT", "COUNTA", "COUNTIF", "COUNTIFS", "DATE", "IF", "IFERROR", "INDEX", "INT", "ISERROR",
    "ISNA", "ISNUMBER", "ISTEXT", "LEFT", "LEN", "MATCH", "MAX", "MAXIFS", "MEDIAN", "MIN", "MINIFS", "NORMSDIST",
    "NORMSINV", "NOT", "OR", "PI", "PRODUCT", "RIGHT", "ROUND", "ROUNDDOWN", "ROUNDUP", "ROWS", "SQRT", "SUM",
    "SUMIF", "SUMIFS", "SUMPRODUCT", "TEXT", "TODAY", "TRIM",
    "BINOMDIST", "CHOOSE", "FIND", "HYPGEOM.DIST", "LN", "MID", "N", "NETWORKDAYS", "RADIANS", "SIN",
    "SUMSQ", "TAN", "WORKDAY",
}  # fmt: skip
_FUNCTION = re.compile(r"([A-Za-z_][A-Za-z0-9_.]*)\(")


@cache
def opened(path: Path) -> Opened:
    return open_workbook(path)


def without_texts(formula: str) -> str:
    """Return a formula without its quoted texts and quoted sheet titles, in which brackets mean nothing."""
    return re.sub(r'"(?:[^"]|"")*"|\'(?:[^\']|\'\')*\'', "", formula)


# -- equal input, equal bytes --------------------------------------------------------------------


def test_the_same_input_gives_the_same_bytes() -> None:
    made = [make_workbook(to_data(metric_shop()), to_data(metric_job()), rows=FEW_ROWS).content for _ in range(2)]
    assert made[0] == made[1]
    assert len(made[0]) > 20_000
    other = metric_job().model_copy(update={"job": metric_job().job.model_copy(update={"note": "another"})})
    assert make_workbook(to_data(metric_shop()), to_data(other), rows=FEW_ROWS).content != made[0]


def test_processes_with_other_hashes_and_another_day_give_the_same_bytes() -> None:
    """Order of sets and dictionaries, time zone and clock must leave no trace."""
    code = (
        "import hashlib, sys; from quotebook.flows.new import make_workbook; from quotebook.model import to_data;"
        "from tests.made import FEW_ROWS; from tests.samples import metric_job, metric_shop;"
        "made = make_workbook(to_data(metric_shop()), to_data(metric_job()), rows=FEW_ROWS);"
        "print(hashlib.sha256(made.content).hexdigest(), hash('seed'))"
    )
    answers = []
    for number, zone in (("0", "UTC"), ("1", "Pacific/Auckland"), ("4242", "America/Los_Angeles")):
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": number, "TZ": zone},
        )  # fmt: skip
        answers.append(done.stdout.split())
    assert len({digest for digest, _ in answers}) == 1
    assert len({hashed for _, hashed in answers}) == 3, "the processes did hash alike; nothing was tried"


# -- stored results ------------------------------------------------------------------------------


def test_a_result_is_stored_for_every_formula(golden_file: Path) -> None:
    """Read by openpyxl (formulas in one pass, results in another) and held against the evaluator."""
    formulas, results = openpyxl.load_workbook(golden_file), openpyxl.load_workbook(golden_file, data_only=True)
    ours = evaluate(opened(golden_file).book).results
    compared, empty = 0, 0
    for sheet in formulas.worksheets:
        shown = results[sheet.title]
        for row in sheet.iter_rows():
            for cell in row:
                if not (isinstance(cell.value, str) and cell.value.startswith("=")) or cell.data_type != "f":
                    continue
                ours_here = ours[Address(sheet.title, cell.row, cell.column)].value
                stored = shown.cell(cell.row, cell.column).value
                compared += 1
                if ours_here in ("", None):
                    empty += 1
                    assert stored in ("", None), cell.coordinate
                elif isinstance(ours_here, float):
                    assert isinstance(stored, int | float), (sheet.title, cell.coordinate, stored)
                    assert float(stored) == pytest.approx(ours_here, rel=1e-15), (sheet.title, cell.coordinate)
                else:
                    assert stored == ours_here, (sheet.title, cell.coordinate)
    assert compared == len(ours) > 3000
    assert empty < compared / 2


def test_a_result_that_is_nothing_is_stored_as_an_empty_text_and_never_as_zero(blank_file: Path) -> None:
    """The stored-zero trap: a writer that is given no result stores 0, and a preview shows a price of 0."""
    ours = evaluate(opened(blank_file).book).results
    nothing = [address for address, result in ours.items() if result.value == ""]
    assert len(nothing) > 300
    for address in nothing:
        cell = opened(blank_file).snapshot.cell(address)
        assert cell is not None
        assert cell.value in ("", None), address


def test_a_preview_that_reads_values_only_sees_the_price(golden_file: Path) -> None:
    """python-calamine reads stored results and knows no formulas; 3 quantities of the golden job's table."""
    rows = CalamineWorkbook.from_path(str(golden_file)).get_sheet_by_name("Price").to_python()
    unit = next(row for row in rows if row[0] == "Unit price")
    # By hand from the trade handbook's table of the golden job: the unrounded price, up to the next cent.
    assert unit[3:6] == [219.93, 91.26, 69.71]


def test_no_error_is_stored_in_a_blank_or_filled_workbook(
    blank_file: Path, golden_file: Path, metric_file: Path
) -> None:
    for path in (blank_file, golden_file, metric_file):
        results = evaluate(opened(path).book).results
        errors = [address for address, result in results.items() if isinstance(result.value, ErrorValue)]
        assert not errors, (path.name, errors[:5])


# -- cells: locked, unlocked, validated ------------------------------------------------------------


def test_every_formula_is_locked_and_every_input_is_not(golden_file: Path) -> None:
    """Read by openpyxl. Sheets are protected without a password, so a shop can change what it must."""
    book = openpyxl.load_workbook(golden_file)
    located = opened(golden_file).located
    assert located is not None
    inputs = {
        (placed.sheet, row, column)
        for placed in located.fields.values()
        if placed.field.is_input
        for row in range(placed.row, placed.row + placed.rows)
        for column in range(placed.column, placed.column + placed.columns)
    }
    locked = unlocked = 0
    for sheet in book.worksheets:
        assert sheet.protection.sheet, sheet.title
        assert not sheet.protection.password, sheet.title
        for row in sheet.iter_rows():
            for cell in row:
                if (sheet.title, cell.row, cell.column) in inputs:
                    assert not cell.protection.locked, (sheet.title, cell.coordinate)
                    unlocked += 1
                elif cell.value is not None:
                    assert cell.protection.locked, (sheet.title, cell.coordinate)
                    locked += 1
    assert unlocked == len(inputs) > 1500
    assert locked > 4000


def test_every_input_that_is_no_free_text_has_its_validation_over_its_whole_column(golden_file: Path) -> None:
    book = openpyxl.load_workbook(golden_file)
    located = opened(golden_file).located
    assert located is not None
    rules: dict[str, list[tuple[tuple[int, ...], Any]]] = {sheet.title: [] for sheet in book.worksheets}
    for sheet in book.worksheets:
        for rule in sheet.data_validations.dataValidation:
            for area in rule.sqref.ranges:
                rules[sheet.title].append((range_boundaries(str(area)), rule))
    checked = free = 0
    for name, placed in located.fields.items():
        if not placed.field.is_input:
            continue
        wanted = (placed.column, placed.row, placed.column + placed.columns - 1, placed.row + placed.rows - 1)
        here = [rule for area, rule in rules[placed.sheet] if area == wanted]
        if placed.field.type in ("text", "long text"):
            free += 1
            continue
        assert len(here) == 1, f"{name} has {len(here)} validations at {placed.sheet} {wanted}"
        assert here[0].error, name
        assert here[0].prompt, name
        assert here[0].showErrorMessage
        checked += 1
    assert checked > 90
    assert free > 15


def rule_of(**words: Any) -> dict[str, Any]:
    rule = validation_of(FieldSpec(name="some_field", label="Some field", bind="job.some.field", **words))
    assert rule is not None
    return rule


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ({"type": "hours", "minimum": 0}, {"validate": "decimal", "criteria": ">=", "value": 0}),
        ({"type": "pieces", "minimum": 1}, {"validate": "integer", "criteria": ">=", "value": 1}),
        ({"type": "length", "above": 0}, {"validate": "decimal", "criteria": ">", "value": 0}),
        ({"type": "share", "minimum": 0, "below": 1}, {"validate": "decimal", "criteria": "between", "minimum": 0}),
        ({"type": "yesno"}, {"validate": "list", "source": ["yes", "no"]}),
        ({"type": "choice", "choices": ("in", "mm")}, {"validate": "list", "source": ["in", "mm"]}),
        ({"type": "choice", "choices_from": "hand_rate_name"}, {"validate": "list", "source": "=hand_rate_name"}),
    ],
)
def test_a_rule_says_what_its_field_says(words: dict[str, Any], expected: dict[str, Any]) -> None:
    """By hand, from the field's own words."""
    rule = rule_of(**words)
    assert {key: rule[key] for key in expected} == expected
    assert rule["error_message"].startswith("Some field: ")
    assert rule["ignore_blank"] is True


def test_scrap_of_all_pieces_is_refused_by_the_sheet_and_nearly_all_is_not() -> None:
    rule = rule_of(type="share", minimum=0, below=1)
    assert rule["minimum"] <= 0 <= 0.999 <= rule["maximum"] < 1


# -- names -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["QTY1", "A1", "xfd1048576", "R1C1", "R", "c", "RC", "r2", "C12", "1st", "two words", "a-b"]
)
def test_names_that_a_spreadsheet_program_would_not_take_are_refused(name: str) -> None:
    """Published: a name must not be the address of a cell, in either notation (file format, defined names)."""
    with pytest.raises(NameRefused):
        check_name(name)


@pytest.mark.parametrize("name", ["unit_price", "quantity_1", "XFE1", "R1C1_x", "rate", "_x", "a.b"])
def test_names_beside_the_trap_are_taken(name: str) -> None:
    """XFD is the last column, so XFE1 is no cell."""
    assert check_name(name) == name


def test_every_defined_name_points_to_cells_of_its_own_book(golden_file: Path) -> None:
    book = openpyxl.load_workbook(golden_file)
    areas = constants = 0
    for name, defined in book.defined_names.items():
        check_name(name)
        place = parse_reference(defined.attr_text)
        if place is None:
            assert re.fullmatch(r'"[^"]+"', defined.attr_text), (name, defined.attr_text)
            constants += 1
            continue
        sheet, row, column, rows, columns = place
        assert sheet in book.sheetnames, name
        assert min(row, column, rows, columns) >= 1
        areas += 1
    located = opened(golden_file).located
    assert located is not None
    assert areas > len(located.fields) * 0.9
    assert constants == 4


def test_every_name_used_in_a_formula_is_defined(golden_file: Path) -> None:
    snapshot = opened(golden_file).snapshot
    defined = {name.name.casefold() for name in snapshot.names}
    used: set[str] = set()
    for address in formula_cells(snapshot):
        cell = snapshot.cell(address)
        assert cell is not None
        assert cell.formula is not None
        used |= set(re.findall(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b", without_texts(cell.formula)))
    used.discard("_xlfn")
    assert len(used) > 150
    assert used <= defined


# -- formulas that travel --------------------------------------------------------------------------


def test_no_formula_uses_a_function_outside_the_portable_list(golden_file: Path) -> None:
    snapshot = opened(golden_file).snapshot
    used: set[str] = set()
    for address in formula_cells(snapshot):
        cell = snapshot.cell(address)
        assert cell is not None
        used |= {name.removeprefix("_xlfn.").upper() for name in _FUNCTION.findall(without_texts(cell.formula or ""))}
    assert used <= PORTABLE, used - PORTABLE
    assert len(used) > 25


def test_newer_functions_carry_their_prefix_in_the_file(golden_file: Path) -> None:
    """Without it the spreadsheet program shows #NAME? until somebody edits the cell."""
    with zipfile.ZipFile(golden_file) as archive:
        text = "".join(
            archive.read(name).decode() for name in archive.namelist() if name.startswith("xl/worksheets/sheet")
        )
    assert text.count("_xlfn.MAXIFS(") > 20
    assert not re.search(r"(?<!_xlfn\.)\bMAXIFS\(", text)


def test_no_formula_in_the_file_begins_with_its_equals_sign(golden_file: Path) -> None:
    """ECMA-376, 18.3.1.40: the text of a formula stands without it; readers that forgive it would hide the fault."""
    formulas = 0
    with zipfile.ZipFile(golden_file) as archive:
        for name in archive.namelist():
            if name.startswith("xl/worksheets/sheet"):
                texts = re.findall(rb"<f[^>]*>([^<]*)</f>", archive.read(name))
                formulas += len(texts)
                assert not [text for text in texts if text.lstrip().startswith((b"=", b"{"))], name
    assert formulas == len(formula_cells(read_snapshot(golden_file)))


def test_older_functions_whose_names_look_newer_get_no_prefix() -> None:
    """NORM.INV is newer than the file format, NORMSINV is not; XlsxWriter 3.3.1 takes one for the other."""
    assert as_in_files("NORMSINV(0.8)+MAXIFS(A1:A2,A1:A2,1)") == "NORMSINV(0.8)+_xlfn.MAXIFS(A1:A2,A1:A2,1)"


def test_xlsxwriter_still_prefixes_what_it_should_not() -> None:
    """When this goes red the library is mended, and our own prefixing may go."""
    buffer = io.BytesIO()
    with xlsxwriter.Workbook(buffer, {"in_memory": True, "use_future_functions": True}) as book:
        book.add_worksheet().write_formula("A1", "=NORMSINV(0.8)")
    with zipfile.ZipFile(buffer) as archive:
        assert b"_xlfn" in archive.read("xl/worksheets/sheet1.xml")


# -- looks that carry facts ------------------------------------------------------------------------


def test_money_is_shown_in_the_shops_currency_and_as_fine_as_its_prices() -> None:
    for shop, job, symbol in ((metric_shop(), metric_job(), "\u20ac"), (cost_plus_shop(), cost_plus_job(), "$")):
        content = make_workbook(to_data(shop), to_data(job), rows=FEW_ROWS).content
        book = openpyxl.load_workbook(io.BytesIO(content))
        formats = {cell.number_format for row in book["Price"].iter_rows() for cell in row if cell.value is not None}
        assert any(symbol in each for each in formats), formats


def test_what_new_compiles_serves_whoever_reads_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Otherwise the first recompute of every new workbook would compile the same formulas again."""
    monkeypatch.setenv("QUOTEBOOK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(compiling, "_PROGRAMS", OrderedDict())
    content = make_workbook(to_data(metric_shop()), to_data(metric_job()), rows=FEW_ROWS).content
    (tmp_path / "made.xlsx").write_bytes(content)
    monkeypatch.setattr(compiling, "_PROGRAMS", OrderedDict())
    monkeypatch.setattr(compiling, "compile_new", lambda book: pytest.fail("compiled again"))
    results = evaluate(open_workbook(tmp_path / "made.xlsx").book).results
    assert all(one.status is Status.EVALUATED for one in results.values())
