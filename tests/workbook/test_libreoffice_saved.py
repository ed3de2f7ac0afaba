"""Files saved by LibreOffice, and copies changed by us opened by LibreOffice: a second program as witness."""

from __future__ import annotations

from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.formula import ArrayFormula

from quotebook.values import Address
from quotebook.workbook.changes import Change, NewFormula, NewInput
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from tests.libreoffice import needs_libreoffice, recalculate
from tests.workbook.raw import raw_book
from tests.workbook.test_patch_formulas import SHARED
from tests.workbook.test_witnesses import as_snapshot_value, write_varied

pytestmark = [pytest.mark.libreoffice, needs_libreoffice]


def test_file_saved_by_libreoffice_reads_as_openpyxl_reads_it(tmp_path: Path) -> None:
    source = write_varied(tmp_path / "book.xlsx", sheets=2, rows=10)
    saved = recalculate([source], tmp_path / "saved")[source]
    snapshot = read_snapshot(saved)
    assert snapshot.application.startswith("LibreOffice")
    values, formulas = openpyxl.load_workbook(saved, data_only=True), openpyxl.load_workbook(saved)
    compared = 0
    for sheet in snapshot.sheets:
        for (row, column), cell in sheet.cells.items():
            witness = formulas[sheet.title].cell(row, column)
            text = witness.value.text if isinstance(witness.value, ArrayFormula) else witness.value
            assert cell.formula == (str(text).removeprefix("=") if witness.data_type == "f" else None)
            stored = as_snapshot_value(values[sheet.title].cell(row, column).value)
            assert cell.value == (pytest.approx(stored, abs=1e-9) if isinstance(stored, float) else stored)
            compared += 1
    assert compared > 2 * 10 * 6


def test_recalculated_results_follow_the_written_formulas(tmp_path: Path) -> None:
    """By hand: A = row * 1.1 - 7 for rows counted from 0; C = A * 2 where A > 0, else "none"."""
    source = write_varied(tmp_path / "book.xlsx", sheets=1, rows=10)
    cells = read_snapshot(recalculate([source], tmp_path / "saved")[source]).sheets[0].cells
    for row in range(10):
        number = row * 1.1 - 7
        assert cells[(row + 1, 3)].value == (pytest.approx(number * 2) if number > 0 else "none")


def test_libreoffice_reads_a_changed_copy_as_meant(tmp_path: Path) -> None:
    """By hand: D1 = 10; B1 is now 5, B2 = A2 * D1 = 20, B3 = 30 + 1, C3 = B3, C4 = B4 = A4 * D1 = 40."""
    source, target = raw_book(tmp_path / "book.xlsx", SHARED), tmp_path / "target.xlsx"
    changes: dict[Address, Change] = {
        Address("Data", 1, 4): NewInput(10.0),
        Address("Data", 1, 2): NewInput(5.0, over_formula=True),
        Address("Data", 3, 2): NewFormula("A3*D1+1"),
        Address("Data", 6, 1): NewInput("=1+1"),
        **{Address("Data", row, 1): NewInput(float(row)) for row in range(1, 5)},
    }
    write_copy(source, target, changes)
    cells = read_snapshot(recalculate([target], tmp_path / "saved")[target]).sheets[0].cells
    found = {key: cells[key].value for key in ((1, 2), (2, 2), (3, 2), (4, 2), (3, 3), (4, 3), (6, 1))}
    assert found == {
        (1, 2): 5.0,
        (2, 2): 20.0,
        (3, 2): 31.0,
        (4, 2): 40.0,
        (3, 3): 31.0,
        (4, 3): 40.0,
        (6, 1): "=1+1",
    }
    assert cells[(6, 1)].formula is None


def test_shared_formulas_written_out_as_libreoffice_does(tmp_path: Path) -> None:
    """LibreOffice writes each formula out; ours must be the same text."""
    source = raw_book(tmp_path / "book.xlsx", SHARED)
    ours = read_snapshot(source).sheets[0].cells
    theirs = read_snapshot(recalculate([source], tmp_path / "saved")[source]).sheets[0].cells
    assert {key: cell.formula for key, cell in ours.items()} == {key: theirs[key].formula for key in ours}
