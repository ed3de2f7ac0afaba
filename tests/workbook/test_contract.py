"""The contract that a workbook carries: what must survive of it, and what must be noticed.

Source of the matrix: what was measured to survive a save by other programs (the project's study of spreadsheet
add-ins, table 3.1), and what people do to a workbook, by hand.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import openpyxl
import pytest

from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recompute import recompute
from quotebook.model import Actuals, Job, Nonrecurring, Shop
from quotebook.values import Address
from quotebook.workbook.changes import NewFormula, NewInput
from quotebook.workbook.contract import contract_sheet, read_contract
from quotebook.workbook.patch import write_copy
from quotebook.workbook.promises import Broken, broken_promises
from quotebook.workbook.reader import read_snapshot
from tests.libreoffice import needs_libreoffice
from tests.made import FEW_ROWS, place, write_workbook
from tests.office_bridge import drive_all
from tests.samples import metric_job, metric_shop

office = [pytest.mark.libreoffice, needs_libreoffice]
VARIANTS = [
    "as made",
    "saved by openpyxl",
    pytest.param("saved by LibreOffice", marks=office),
    pytest.param("rows inserted in the routing", marks=office),
    pytest.param("rows inserted in the buyouts", marks=office),
    pytest.param("sheets renamed", marks=office),
    pytest.param("sheets reordered", marks=office),
    pytest.param("everything at once", marks=office),
]


def full_job() -> Job:
    """The metric job with what the Actuals sheet takes, so that tables on two sheets belong together."""
    job = metric_job()
    made = [
        step.model_copy(
            update={"actual_setup_hours": 1.0 + index, "actual_run_hours": 2.5, "actual_pieces": 20 + index}
        )
        for index, step in enumerate(job.operations)
    ]
    bought = [line.model_copy(update={"actual_cost": 40.5 + index}) for index, line in enumerate(job.buyouts)]
    return job.model_copy(
        update={
            "operations": tuple(made),
            "buyouts": tuple(bought),
            "nonrecurring": (Nonrecurring(description="Gauge", purchase=80.0, actual_purchase=95.0),),
            "actuals": Actuals(good_pieces=20, invoiced=1500.0),
        }
    )


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The made workbook and what others made of it. Without LibreOffice its variants are missing (and skipped)."""
    folder = tmp_path_factory.mktemp("contract")
    made = write_workbook(folder / "made.xlsx", metric_shop(), full_job(), FEW_ROWS)
    files = {"as made": made, "saved by openpyxl": folder / "openpyxl.xlsx"}
    book = openpyxl.load_workbook(made)
    book.save(files["saved by openpyxl"])
    if not needs_libreoffice.args[0]:
        changes = office_changes(open_workbook(made))
        for number, name in enumerate(changes):
            files[name] = folder / f"office-{number}.xlsx"
        drive_all([(made, steps, files[name]) for name, steps in changes.items()])
    return files


def office_changes(opened: Opened) -> dict[str, list[dict[str, Any]]]:
    """What is done to the workbook over the bridge, by the name of the variant."""
    routing = {"do": "insert rows", "sheet": "Routing", "row": place(opened, "operation_number", 1).row, "count": 2}
    buyouts = {"do": "insert rows", "sheet": "Buyouts", "row": place(opened, "buyout_name", 1).row, "count": 1}
    renamed = [
        {"do": "rename", "sheet": "Routing", "to": "Bob's steps"},
        {"do": "rename", "sheet": "Contract", "to": "Contract 2"},
        {"do": "rename", "sheet": "Price", "to": "2031"},
        {"do": "rename", "sheet": "Start", "to": "Größe & Anfang"},
    ]
    moved = [
        {"do": "move", "sheet": "Price", "position": 0},
        {"do": "move", "sheet": "Start", "position": 12},
        {"do": "move", "sheet": "Contract", "position": 3},
    ]
    return {
        "saved by LibreOffice": [],
        "rows inserted in the routing": [routing],
        "rows inserted in the buyouts": [buyouts],
        "sheets renamed": renamed,
        "sheets reordered": moved,
        "everything at once": [routing, buyouts, *moved, *renamed],
    }


def new_rows(opened: Opened) -> set[tuple[str, int]]:
    """The rows that were inserted: those of the two tables whose key is blank between filled ones."""
    assert opened.located is not None
    found = set()
    for key in ("operation_number", "buyout_name"):
        placed = opened.located.fields[key]
        rows = [place(opened, key, row) for row in range(placed.rows)]
        filled = [cell.row for cell in rows if (at := opened.snapshot.cell(cell)) is not None and at.value is not None]
        found |= {(cell.sheet, cell.row) for cell in rows if cell.row < max(filled)} - {
            (placed.sheet, row) for row in filled
        }
    return found


def all_broken(opened: Opened) -> list[Broken]:
    assert opened.contract is not None
    assert opened.located is not None
    return list(broken_promises(opened.contract, opened.located, opened.snapshot))


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_contract_survives_and_the_inputs_read_back_equal(files: dict[str, Path], variant: str) -> None:
    shop: Shop = metric_shop()
    opened = open_workbook(files[variant])
    assert opened.contract is not None
    assert opened.contract.intact
    assert opened.located is not None
    assert opened.located.lost == {}
    assert set(opened.located.fields) == set(opened.contract.fields)
    assert len(opened.located.fields) > 300
    assert opened.problems == ()
    assert opened.job == full_job()
    assert opened.shop == shop


@pytest.mark.parametrize("variant", VARIANTS)
def test_no_formula_is_called_broken_but_those_that_a_new_row_lacks(files: dict[str, Path], variant: str) -> None:
    opened = open_workbook(files[variant])
    inserted = new_rows(opened)
    expected = {"rows inserted in the routing": 2, "rows inserted in the buyouts": 1, "everything at once": 3}
    assert len(inserted) == expected.get(variant, 0)
    others = [one for one in all_broken(opened) if (one.address.sheet, one.address.row) not in inserted]
    assert not others


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_price_is_still_the_reference_price(files: dict[str, Path], variant: str) -> None:
    """Rows inserted and left blank change no price. (openpyxl drops the stored results, which is told as such.)"""
    result = recompute(files[variant])
    assert result.compared_reference > 90
    assert [one for one in result.disagreements if one.between == "recomputed and reference"] == []
    blank = {"rows inserted in the routing": 2, "rows inserted in the buyouts": 1, "everything at once": 3}
    assert len([note for note in result.notes if "was inserted" in note]) == blank.get(variant, 0)
    assert [one.cell for one in result.unknown if one.cell] == []
    assert len(result.prices) == 2
    assert all(row.unit_price is not None for row in result.prices)


@pytest.mark.libreoffice
@needs_libreoffice
def test_rows_were_really_inserted_and_sheets_really_moved(files: dict[str, Path]) -> None:
    """The matrix above would pass just as well if the office had done nothing."""
    made, all_at_once = open_workbook(files["as made"]), open_workbook(files["everything at once"])
    assert made.located is not None
    assert all_at_once.located is not None
    for name, more in (("operation_number", 2), ("buyout_name", 1)):
        assert all_at_once.located.fields[name].rows == made.located.fields[name].rows + more
    titles = [sheet.title for sheet in all_at_once.snapshot.sheets]
    assert titles[0] == "2031"
    assert {"Bob's steps", "Größe & Anfang", "Contract 2"} <= set(titles)


@pytest.mark.libreoffice
@needs_libreoffice
def test_an_operation_typed_into_an_inserted_row_is_noticed(files: dict[str, Path], tmp_path: Path) -> None:
    """The new row has no formulas, so its hours reach no price; the reference counts them."""
    source = files["rows inserted in the routing"]
    opened = open_workbook(source)
    number, cycle, rate = (
        place(opened, name, 1) for name in ("operation_number", "cycle_minutes", "operation_hand_rate")
    )
    changed = tmp_path / "typed.xlsx"
    write_copy(source, changed, {number: NewInput(15.0), cycle: NewInput(6.0), rate: NewInput("Bench")})
    result = recompute(changed)
    assert result.agree is False
    wrong = [one for one in result.disagreements if one.field == "unit_price"]
    assert wrong
    assert all("Routing!" in one.reason for one in wrong)


def test_a_formula_typed_over_changed_or_emptied_is_told(files: dict[str, Path], tmp_path: Path) -> None:
    opened = open_workbook(files["as made"])
    over, changed, emptied = (
        place(opened, "setup_hours", 1),
        place(opened, "unit_price", lot=1),
        place(opened, "lot_cost"),
    )
    target = tmp_path / "changed.xlsx"
    write_copy(
        files["as made"],
        target,
        {over: NewInput(1.25, over_formula=True), changed: NewFormula("1+1", 2.0), emptied: NewInput(None, True)},
    )
    told = {one.address: one for one in all_broken(open_workbook(target))}
    assert set(told) == {over, changed, emptied}
    assert told[over].found == "1.25"
    assert told[changed].found == "=1+1"
    assert told[emptied].found == ""
    assert told[over].field == "setup_hours"
    assert told[over].expected.startswith("=IF(B")


def test_formulas_written_another_way_are_still_the_same(files: dict[str, Path], tmp_path: Path) -> None:
    """Capitals, blanks and needless brackets as other programs write them change no meaning."""
    opened = open_workbook(files["as made"])
    cell = place(opened, "setup_hours", 1)
    formula = opened.book.formulas[cell]
    target = tmp_path / "rewritten.xlsx"
    write_copy(files["as made"], target, {cell: NewFormula(formula.lower().replace(",", " , "))})
    assert all_broken(open_workbook(target)) == []


def test_an_edited_contract_is_not_trusted_silently(files: dict[str, Path], tmp_path: Path) -> None:
    snapshot = read_snapshot(files["as made"])
    sheet = contract_sheet(snapshot)
    assert sheet is not None
    row, column = next(key for key, cell in sheet.cells.items() if cell.value == "scrap_share")
    formula = next(key for key, cell in sheet.cells.items() if key[0] != row and cell.value == "setup_hours")
    assert column == formula[1]
    target = tmp_path / "edited.xlsx"
    write_copy(files["as made"], target, {Address(sheet.title, row, 10): NewInput("to 90 %")})
    contract = read_contract(read_snapshot(target))
    assert contract is not None
    assert not contract.intact
    assert any("contract sheet was edited" in note for note in recompute(target).notes)


def test_a_workbook_without_its_contract_sheet_has_no_contract(files: dict[str, Path], tmp_path: Path) -> None:
    book = openpyxl.load_workbook(files["as made"])
    del book["Contract"]
    book.save(tmp_path / "without.xlsx")
    result = recompute(tmp_path / "without.xlsx")
    assert not result.has_contract
    assert any("no contract" in note for note in result.notes)


def test_a_lost_name_is_told_and_never_guessed(files: dict[str, Path], tmp_path: Path) -> None:
    book = openpyxl.load_workbook(files["as made"])
    del book.defined_names["scrap_share"]
    book.defined_names["unit_price"].attr_text = "#REF!"
    book.save(tmp_path / "lost.xlsx")
    opened = open_workbook(tmp_path / "lost.xlsx")
    assert opened.located is not None
    assert dict(opened.located.lost) == {"scrap_share": "", "unit_price": "#REF!"}
    assert "scrap_share" not in opened.located.fields
    told = {one.field: one.reason for one in recompute(tmp_path / "lost.xlsx").unknown}
    assert "missing" in told["scrap_share"]
    assert "#REF!" in told["unit_price"]
