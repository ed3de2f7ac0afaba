"""What recomputing says of a workbook: agreement where there is some, and no agreement where anything was touched."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest

from quotebook.errors import BookError, TargetExists
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.pricing import price_job
from quotebook.values import Address
from quotebook.workbook.changes import NewInput, NewResult
from quotebook.workbook.patch import write_copy
from tests.made import FEW_ROWS, formula_cells, place, stored, with_inputs, write_workbook
from tests.poison import SENTINEL
from tests.samples import (
    cost_plus_job,
    cost_plus_shop,
    golden_job,
    golden_shop,
    metric_job,
    metric_shop,
    whole_step_job,
    whole_step_shop,
)

JOBS = {
    "golden": (golden_shop, golden_job),
    "whole steps": (whole_step_shop, whole_step_job),
    "metric": (metric_shop, metric_job),
    "cost plus": (cost_plus_shop, cost_plus_job),
}


@pytest.mark.parametrize("name", JOBS)
def test_a_fresh_workbook_agrees_and_shows_the_reference_price(name: str, tmp_path: Path) -> None:
    """The four jobs are worked out by hand in tests/pricing; here the workbook must come to the same."""
    shop, job = (make() for make in JOBS[name])
    result = recompute(write_workbook(tmp_path / "job.xlsx", shop, job, FEW_ROWS))
    price = price_job(job, shop)
    assert result.agree is True
    assert result.disagreements == []
    assert result.unknown == []
    assert result.evaluated == result.formulas == result.compared_stored > 500
    assert result.compared_reference > 60
    assert [row.quantity for row in result.prices] == [lot.quantity for lot in price.lots]
    for row, repeat, lot in zip(result.prices, result.repeat_order, price.lots, strict=True):
        assert row.unit_price == pytest.approx(lot.unit_price, rel=1e-12)
        assert row.extended_price == pytest.approx(lot.extended_price, rel=1e-12)
        assert row.nonrecurring == pytest.approx(lot.charge, rel=1e-12)
        assert row.cost == pytest.approx(lot.cost, rel=1e-12)
        assert row.margin == pytest.approx(lot.margin, rel=1e-9)
        assert repeat["unit_price"] == pytest.approx(lot.repeat.unit_price, rel=1e-12)
        assert repeat["extended_price"] == pytest.approx(lot.repeat.extended_price, rel=1e-12)
    assert result.first_piece == pytest.approx(price.first_piece_total, rel=1e-12)
    assert result.next_piece == pytest.approx(price.next_piece_price, rel=1e-12)


def test_a_blank_workbook_has_no_price_and_says_what_is_missing(blank_file: Path) -> None:
    result = recompute(blank_file)
    assert result.prices == []
    assert result.first_piece is None
    assert result.next_piece is None
    assert result.disagreements == []
    assert result.agree is None, "unknown is not agreement"
    assert result.unknown


# -- poison ----------------------------------------------------------------------------------------


def test_every_single_poisoned_cell_is_found_in_a_sample(metric_file: Path, tmp_path: Path) -> None:
    """One wrong cell among hundreds of right ones, forty times over the whole book."""
    cells = formula_cells(open_workbook(metric_file).snapshot)
    sample = cells[:: len(cells) // 10]
    for number, cell in enumerate(sample):
        target = tmp_path / f"{number}.xlsx"
        write_copy(metric_file, target, {cell: NewResult(SENTINEL)})
        result = recompute(target)
        assert [one.cell for one in result.disagreements] == [str(cell)]
        assert result.agree is False
    assert len(sample) >= 10


# -- stale, typed over, changed --------------------------------------------------------------------


def test_manual_calculation_is_named_as_the_reason(metric_file: Path, tmp_path: Path) -> None:
    target = with_inputs(metric_file, tmp_path / "stale.xlsx", {("setup_base_hours", 0): 9.0})
    manual = tmp_path / "manual.xlsx"
    with zipfile.ZipFile(target) as archive, zipfile.ZipFile(manual, "w", zipfile.ZIP_DEFLATED) as copy:
        for name in archive.namelist():
            data = archive.read(name)
            if name == "xl/workbook.xml":
                assert b"<calcPr " in data
                data = data.replace(b"<calcPr ", b'<calcPr calcMode="manual" ', 1)
            copy.writestr(name, data)
    reasons = {one.reason for one in recompute(manual).disagreements}
    assert len(reasons) == 1
    assert "manual calculation is on" in reasons.pop()


def test_a_formula_typed_over_is_named_in_the_reason(metric_file: Path, tmp_path: Path) -> None:
    """Somebody types a unit price over the formula: the file is consistent in itself, and wrong."""
    cell = place(open_workbook(metric_file), "unit_price", lot=1)
    target, fresh = tmp_path / "over.xlsx", tmp_path / "fresh.xlsx"
    write_copy(metric_file, target, {cell: NewInput(12.0, over_formula=True)})
    recompute(target, save_as=fresh)
    result = recompute(fresh)
    wrong = [one for one in result.disagreements if one.field == "unit_price"]
    assert [one.between for one in wrong] == ["recomputed and reference"]
    assert wrong[0].cell == str(cell)
    assert wrong[0].recomputed == 12.0
    assert wrong[0].reference not in (None, 12.0)
    assert str(cell) in wrong[0].reason
    assert "'12.0'" in wrong[0].reason
    assert {one.between for one in result.disagreements} == {"recomputed and reference"}


def test_a_figure_on_the_quotation_typed_over_is_not_passed_over_in_silence(metric_file: Path, tmp_path: Path) -> None:
    """The reference has no figure for the customer's page, but the page must show what the Price sheet says."""
    opened = open_workbook(metric_file)
    assert opened.contract is not None
    quote = [
        cell
        for cell in formula_cells(opened.snapshot)
        if cell.sheet == "Quote" and isinstance(opened.snapshot.cell(cell).value, float)  # type: ignore[union-attr]
    ]
    assert len(quote) >= 4
    target = tmp_path / "quote.xlsx"
    write_copy(metric_file, target, {quote[0]: NewInput(1.0, over_formula=True)})
    result = recompute(target)
    assert str(quote[0]) in [one.cell for one in result.unknown]
    assert result.agree is not True


def test_a_formula_typed_over_with_its_own_result_is_told(metric_file: Path, tmp_path: Path) -> None:
    """All numbers agree today; they will not when an input changes."""
    opened = open_workbook(metric_file)
    cell = place(opened, "unit_price", lot=1)
    write_copy(metric_file, tmp_path / "over.xlsx", {cell: NewInput(stored(opened, "unit_price", lot=1), True)})
    result = recompute(tmp_path / "over.xlsx")
    assert result.disagreements == []
    assert [(one.cell, one.field) for one in result.unknown] == [(str(cell), "unit_price")]
    assert "ROUNDUP" in result.unknown[0].reason
    assert result.agree is None


# -- a copy with fresh results ---------------------------------------------------------------------


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_copy_has_fresh_results_and_nothing_else_is_touched(metric_file: Path, tmp_path: Path) -> None:
    stale = with_inputs(metric_file, tmp_path / "stale.xlsx", {("setup_base_hours", 0): 9.0})
    fresh = tmp_path / "fresh.xlsx"
    before = stale.read_bytes()
    assert recompute(stale, save_as=fresh).agree is False
    assert stale.read_bytes() == before
    result = recompute(fresh)
    assert result.agree is True
    assert result.prices == recompute(stale).prices
    old, new = parts(stale), parts(fresh)
    assert list(old) == list(new), "the parts and their order"
    touched = {name for name in old if old[name] != new[name]}
    assert touched
    assert all(name.startswith("xl/worksheets/sheet") for name in touched)
    assert len(touched) < len([name for name in old if name.startswith("xl/worksheets/sheet")])
    # In the touched sheets only stored results differ: without them the bytes are the same.
    for name in touched:
        assert without_results(old[name]) == without_results(new[name])
    # A third library sees the fresh price.
    shown = openpyxl.load_workbook(io.BytesIO(fresh.read_bytes()), data_only=True)
    cell = place(open_workbook(fresh), "unit_price", lot=1)
    assert shown[cell.sheet].cell(cell.row, cell.column).value == pytest.approx(result.prices[0].unit_price)


def without_results(sheet: bytes) -> bytes:
    import re

    return re.sub(rb'(<c r="[A-Z]+[0-9]+"(?: s="[0-9]+")?)(?: t="[a-z]+")?>(<f>[^<]*</f>)<v>[^<]*</v>', rb"\1\2", sheet)


def test_the_copy_of_a_file_without_stored_results_has_them_all(metric_file: Path, tmp_path: Path) -> None:
    """openpyxl drops every stored result."""
    book = openpyxl.load_workbook(metric_file)
    book.save(tmp_path / "dropped.xlsx")
    first = recompute(tmp_path / "dropped.xlsx", save_as=tmp_path / "fresh.xlsx")
    assert first.agree is None
    assert any("no stored result" in one.reason for one in first.unknown)
    assert recompute(tmp_path / "fresh.xlsx").agree is True


def test_a_copy_over_something_is_refused_unless_asked_for(metric_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "there.xlsx"
    target.write_bytes(b"precious")
    with pytest.raises(TargetExists):
        recompute(metric_file, save_as=target)
    assert target.read_bytes() == b"precious"
    recompute(metric_file, save_as=target, force=True)
    assert recompute(target).agree is True
    with pytest.raises(BookError, match="source itself"):
        recompute(target, save_as=target, force=True)


# -- several files, strange files ------------------------------------------------------------------


def test_a_foreign_workbook_is_recomputed_as_far_as_possible(tmp_path: Path) -> None:
    """Stored results written by hand: one right, one wrong, one that nobody here can compute."""
    path = tmp_path / "foreign.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append([2, 3, "=A1*B1", "=A1+B1", "=CUBEVALUE(A1)", "=E1+1"])
    book.save(tmp_path / "plain.xlsx")
    write_copy(
        tmp_path / "plain.xlsx",
        path,
        {
            Address("Sheet", 1, 3): NewResult(6.0),
            Address("Sheet", 1, 4): NewResult(6.0),
            Address("Sheet", 1, 5): NewResult(1.0),
            Address("Sheet", 1, 6): NewResult(2.0),
        },
    )
    result = recompute(path)
    assert not result.has_contract
    assert any("no contract" in note and "no reference price" in note for note in result.notes)
    assert [(one.cell, one.stored, one.recomputed) for one in result.disagreements] == [("Sheet!D1", 6.0, 5.0)]
    assert [one.cell for one in result.unknown] == ["Sheet!E1", "Sheet!F1"]
    assert "CUBEVALUE" in result.unknown[0].reason
    assert "E1" in result.unknown[1].reason
    assert (result.formulas, result.evaluated) == (4, 2)
    assert result.prices == []
