"""Stored results, evaluator and reference pricing side by side: what is told when one of them is wrong."""

from __future__ import annotations

import zipfile
from pathlib import Path

import openpyxl
import pytest

from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import Recomputed, recompute, recompute_all
from quotebook.values import Address
from quotebook.workbook.changes import NewFormula, NewInput, NewResult
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from tests.made import FEW_ROWS, formula_cells, place, stored, with_inputs, write_workbook
from tests.samples import golden_job, golden_shop

#: No result of any estimate; the same odd number for every cell, as evaluator tests elsewhere do it.
POISON = 987654321.5


def fields(result: Recomputed, between: str) -> set[str]:
    return {one.field for one in result.disagreements if one.between == between}


def test_an_untouched_workbook_agrees_with_itself(golden_file: Path) -> None:
    result = recompute(golden_file)
    assert result.agree is True
    assert result.evaluated == result.formulas == result.compared_stored > 3000
    assert result.compared_reference > 150
    # trade handbook 1.12, golden job: costs of 5, 25 and 100 off, to the cent
    assert [round(row.cost or 0, 2) for row in result.prices] == [769.74, 1596.91, 4879.38]
    assert sum(result.statuses.values()) == result.formulas


def test_poisoned_results_change_no_answer_and_are_all_found(golden_file: Path, tmp_path: Path) -> None:
    snapshot = read_snapshot(golden_file)
    cells = formula_cells(snapshot)
    poisoned = tmp_path / "poisoned.xlsx"
    write_copy(golden_file, poisoned, {cell: NewResult(POISON) for cell in cells})
    clean, result = recompute(golden_file), recompute(poisoned)
    assert result.prices == clean.prices
    assert (result.first_piece, result.next_piece) == (clean.first_piece, clean.next_piece)
    assert len(result.disagreements) == len(cells) == result.statuses["differs"]
    assert result.agree is False
    assert not fields(result, "recomputed and reference")


def test_an_input_changed_without_calculating_is_told_with_cell_and_field(golden_file: Path, tmp_path: Path) -> None:
    stale = with_inputs(golden_file, tmp_path / "stale.xlsx", {("setup_base_hours", 0): 3.0})
    result = recompute(stale)
    price = next(one for one in result.disagreements if one.field == "unit_price")
    assert price.between == "stored and recomputed"
    assert "older than the inputs" in price.reason
    assert price.cell.startswith("Price!")
    assert not fields(result, "recomputed and reference")  # both follow the input


def test_a_changed_formula_is_named_as_the_reason(golden_file: Path, tmp_path: Path) -> None:
    opened = open_workbook(golden_file)
    cell = place(opened, "stock_purchase", lot=2)
    changed = tmp_path / "changed.xlsx"
    write_copy(golden_file, changed, {cell: NewFormula(opened.book.formulas[cell] + "*1.5")})
    result = recompute(changed)
    told = [one for one in result.disagreements if one.between == "recomputed and reference"]
    assert {"stock_cost", "lot_cost", "unit_price"} <= {one.field for one in told}
    assert all(str(cell) in one.reason and "stock_purchase" in one.reason for one in told)


def test_a_price_typed_over_its_formula_is_named_as_the_reason(golden_file: Path, tmp_path: Path) -> None:
    opened = open_workbook(golden_file)
    cell = place(opened, "lot_cost", lot=1)
    typed = tmp_path / "typed.xlsx"
    write_copy(golden_file, typed, {cell: NewInput(700.0, over_formula=True)})
    told = [one for one in recompute(typed).disagreements if one.field == "lot_cost"]
    assert [(one.recomputed, one.reference is not None) for one in told] == [(700.0, True)]
    assert "holds '700.0'" in told[0].reason


def test_fresh_results_in_a_copy_and_nothing_else(golden_file: Path, tmp_path: Path) -> None:
    stale = with_inputs(golden_file, tmp_path / "stale.xlsx", {("setup_base_hours", 0): 3.0})
    fresh = tmp_path / "fresh.xlsx"
    assert recompute(stale, save_as=fresh).agree is False
    assert recompute(fresh).agree is True
    with zipfile.ZipFile(stale) as before, zipfile.ZipFile(fresh) as after:
        assert before.namelist() == after.namelist()
        differing = [name for name in before.namelist() if before.read(name) != after.read(name)]
    assert differing
    assert all(name.startswith("xl/worksheets/sheet") for name in differing)
    kept, saved = read_snapshot(stale), read_snapshot(fresh)
    for one, other in zip(kept.sheets, saved.sheets, strict=True):
        assert {key: (cell.formula, cell.style) for key, cell in one.cells.items()} == {
            key: (cell.formula, cell.style) for key, cell in other.cells.items()
        }


def test_missing_stored_results_are_unknown_not_agreement(golden_file: Path, tmp_path: Path) -> None:
    stripped = tmp_path / "stripped.xlsx"
    openpyxl.load_workbook(golden_file).save(stripped)  # openpyxl drops every stored result
    result = recompute(stripped)
    assert result.agree is None
    assert result.statuses["no stored result"] > 1000
    assert any("no stored result" in one.reason for one in result.unknown)
    assert not result.disagreements


def test_a_foreign_workbook_is_recomputed_without_a_reference(tmp_path: Path) -> None:
    foreign = tmp_path / "foreign.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (["hours", 2], ["rate", "85"], ["sum", "=B1*B2"], ["odd", "=LET(x,1,x)"], ["after", "=IFERROR(B4,0)"]):
        sheet.append(row)
    book.save(foreign)
    result = recompute(foreign)
    assert (result.has_contract, result.agree) == (False, None)
    assert any("no contract" in note for note in result.notes)
    assert any("number as text" in note and "B2" in note for note in result.notes)
    reasons = {one.cell.rsplit("!", 1)[-1]: one.reason for one in result.unknown if one.cell}
    assert "LET" in reasons["B4"]
    assert "B4" in reasons["B5"]  # unknown is not eaten by IFERROR


@pytest.mark.parametrize("field", ["quote_date", "due_date", "lead_order_date"])
def test_a_text_for_a_date_is_told_and_every_price_stays(field: str, golden_file: Path, tmp_path: Path) -> None:
    typed = with_inputs(golden_file, tmp_path / "typed.xlsx", {(field, 0): "3 March 2031"})
    fresh = tmp_path / "fresh.xlsx"
    recompute(typed, save_as=fresh)
    told, before = recompute(fresh), recompute(golden_file)
    assert told.agree is True
    assert [row.unit_price for row in told.prices] == [row.unit_price for row in before.prices]
    assert all(row.unit_price for row in told.prices)
    assert any('found "3 March 2031" (text), expected a date' in note for note in told.notes)
    if field != "lead_order_date":
        assert stored(open_workbook(fresh), "job_date_problem") == "◄ text where a date, or days, belong"
        assert stored(open_workbook(fresh), "job_problem") == ""


def test_one_bad_file_does_not_stop_the_others(golden_file: Path, tmp_path: Path) -> None:
    results = recompute_all([tmp_path / "missing.xlsx", golden_file])
    assert results[0].error is not None
    assert "missing.xlsx" in results[0].error
    assert results[1].agree is True


#: What a person may type that cannot be: field and row, the value, the state column or field that must say so.
WRONG_INPUTS = [
    ("setup_base_hours", 0, -1.0, "operation_problem"),
    ("scrap_share", 0, 1.0, "operation_problem"),
    ("operation_work_center", 0, "No such machine", "operation_problem"),
    ("cycle_minutes", 0, "2h", "operation_problem"),
    ("break_quantity", 0, 0.0, "break_problem"),
    ("stock_price_basis", 0, "per kg", "stock_problem"),  # the golden job's stock is in inches
    ("buyout_price", 0, -3.0, "buyout_problem"),
    ("inspection_rate", 0, "Nobody", "inspection_problem"),
    ("nonrecurring_hours", 0, -1.0, "nonrecurring_problem"),
    ("hand_rate_sell", 0, -1.0, "hand_rate_problem"),
    ("profit_share", 0, 1.5, "policy_problem"),
]


@pytest.mark.parametrize(("name", "row", "value", "state"), WRONG_INPUTS)
def test_what_the_models_refuse_the_workbook_flags(
    tmp_path: Path, name: str, row: int, value: float | str, state: str
) -> None:
    small = write_workbook(tmp_path / "small.xlsx", golden_shop(), golden_job(), FEW_ROWS)
    wrong = with_inputs(small, tmp_path / "wrong.xlsx", {(name, row): value})
    opened = open_workbook(wrong)
    assert opened.problems, "the models take it"
    fresh = tmp_path / "fresh.xlsx"
    recompute(wrong, save_as=fresh)
    seen = open_workbook(fresh)

    def told(field: str, lot: int = 0) -> object:
        cell = seen.snapshot.cell(place(seen, field, lot=lot))
        return cell.value if cell is not None else None

    assert str(told(state)).startswith("◄")
    assert told("unit_price", lot=2) == "incomplete"
    start = seen.snapshot.sheet("Start")
    assert start is not None
    missing = next(name for name in seen.snapshot.names if name.name == "missing_price")
    row_of_total = int(missing.text.rsplit("$", 1)[1])
    total = seen.snapshot.cell(Address("Start", row_of_total, 2))
    assert total is not None
    assert isinstance(total.value, float)
    assert total.value >= 1
    result = recompute(fresh)
    assert result.agree is None  # unknown, with the reasons; nothing is passed off as a price
    assert result.unknown
    assert all(price.unit_price is None for price in result.prices)


def test_many_files_are_recomputed_as_each_alone(metric_file: Path, tmp_path: Path) -> None:
    """Over several processes, with what they remember of earlier files; source: each file by itself."""
    opened = open_workbook(metric_file)
    paths = []
    for number in range(9):
        paths.append(tmp_path / f"{number}.xlsx")
        changes: dict[Address, NewInput | NewResult] = {place(opened, "packing_per_lot"): NewInput(10.0 + number)}
        if number == 4:
            changes = {place(opened, "unit_price", lot=1): NewResult(POISON)}
        write_copy(metric_file, paths[-1], changes)
    paths[6].write_bytes(b"no workbook")
    together = recompute_all([*paths, paths[0]], workers=2)
    assert together == [recompute_all([path])[0] for path in [*paths, paths[0]]]
    assert together[6].error
    assert POISON in {one.stored for one in together[4].disagreements}
    assert len({one.prices[0].unit_price for one in together if one.prices}) > 3
