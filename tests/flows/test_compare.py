"""Two workbooks of one job: what differs, and a bridge that sums exactly to the whole difference."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from quotebook.errors import BookError
from quotebook.flows.compare import Compared, compare_files
from quotebook.flows.opening import open_workbook
from quotebook.model import job_from_data, shop_from_data
from quotebook.pricing import price_job
from quotebook.values import Address
from quotebook.workbook.changes import NewFormula, NewInput
from quotebook.workbook.patch import write_copy
from tests import loop


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("compare")


@pytest.fixture(scope="module")
def first(folder: Path) -> Path:
    return loop.write(folder / "a.xlsx", loop.job_data("valve-body"))


def exact(result: Compared) -> bool:
    """Tell whether the steps sum to the difference, in decimals and without any tolerance."""
    total = sum((Decimal(str(step.amount)) for step in result.steps), Decimal(0))
    return total == Decimal(str(result.difference))


def total(job: dict[str, Any], shop: dict[str, Any], quantity: int) -> float:
    lot = price_job(job_from_data(job, "x"), shop_from_data(shop, "x")).lot(quantity)
    assert lot.first_order_total is not None
    return lot.first_order_total


def test_each_step_is_what_the_reference_pricing_says(first: Path, folder: Path) -> None:
    job, shop = loop.job_data("valve-body"), loop.shop_data()
    totals = [total(job, shop, 6)]
    job["job"]["packing_per_lot"] = 40.0
    totals.append(total(job, shop, 6))
    shop["hand_rate"][0]["target_margin"] = 0.45  # its rate is built up from the wage
    totals.append(total(job, shop, 6))
    job["stock"]["price"] = 320.0
    totals.append(total(job, shop, 6))
    job["operation"][0]["cycle_minutes"] = 18.0
    totals.append(total(job, shop, 6))
    job["operation"].insert(1, {"number": 15, "description": "Wash", "hand_rate": "Bench", "cycle_minutes": 2})
    totals.append(total(job, shop, 6))
    result = compare_files(first, loop.write(folder / "b.xlsx", job, shop))
    assert result.quantity == 6
    # The order of the sheets: Job, Hourly rates, Stock, Routing.
    assert [result.first_price, *(step.after for step in result.steps)] == pytest.approx(totals)
    assert [step.before for step in result.steps] == pytest.approx(totals[:-1])
    assert [change.kind for change in result.changes] == ["changed", "changed", "changed", "changed", "row added"]
    assert exact(result)
    assert result.notes == []


def test_the_same_file_twice_has_no_difference(first: Path) -> None:
    result = compare_files(first, first)
    assert result.same
    assert (result.changes, result.formulas, result.steps, result.difference) == ([], [], [], 0.0)


def test_a_changed_formula_and_one_typed_over_get_a_step_each(first: Path, folder: Path) -> None:
    opened = open_workbook(first)
    assert opened.located is not None
    fields = opened.located.fields
    packing, stock = fields["packing_amount"], fields["stock_sell"]
    changes = {
        Address(packing.sheet, packing.row, packing.column + 1): NewFormula("100+11"),
        Address(stock.sheet, stock.row, stock.column + 1): NewInput(500.0, True),
    }
    write_copy(first, folder / "edited.xlsx", changes)
    result = compare_files(first, folder / "edited.xlsx")
    assert {one.field for one in result.formulas} == {"packing_amount", "stock_sell"}
    assert len(result.steps) == 2
    assert all(step.what.startswith("formula of") for step in result.steps)
    assert exact(result)
    assert result.difference != 0


def test_a_state_without_a_price_is_told_together_with_the_next_that_has_one(first: Path, folder: Path) -> None:
    job, shop = loop.job_data("valve-body"), loop.shop_data()
    shop["hand_rate"][0]["name"] = "Operator"
    for center in shop["work_center"]:
        if center.get("operator") == "Machinist":
            center["operator"] = "Operator"
    shop["hand_rate"][0]["target_margin"] = 0.5
    result = compare_files(first, loop.write(folder / "renamed.xlsx", job, shop))
    assert exact(result)
    assert result.difference == pytest.approx(
        total(job, shop, 6) - total(loop.job_data("valve-body"), loop.shop_data(), 6)
    )
    assert any(";" in step.what for step in result.steps)


def test_rows_inserted_by_hand_do_not_matter(folder: Path, first: Path) -> None:
    """More rows than the first workbook has room for: the second one's formulas carry the bridge."""
    from quotebook.flows.new import make_workbook

    tight = folder / "tight.xlsx"
    tight.write_bytes(make_workbook(loop.shop_data(), loop.job_data("valve-body"), rows={"routing": 3}).content)
    job = loop.job_data("valve-body")
    job["operation"].append({"number": 95, "description": "Pack", "hand_rate": "Bench", "cycle_minutes": 1})
    result = compare_files(tight, loop.write(folder / "more.xlsx", job))
    assert exact(result)
    assert "too few rows" in " ".join(result.notes)
    assert [change.kind for change in result.changes] == ["row added"]


def test_what_cannot_be_compared_is_said(first: Path, folder: Path) -> None:
    other = loop.job_data("valve-body")
    other["job"]["quantities"] = [7, 9]
    result = compare_files(first, loop.write(folder / "other.xlsx", other))
    assert result.quantity is None
    assert "no quantity in common" in result.notes[0]
    assert exact(result)
    with pytest.raises(BookError, match="--quantity"):
        compare_files(first, first, quantity=999)
    lacking = loop.job_data("valve-body")
    del lacking["stock"]["price"]
    lacking["stock"]["material"] = "a material without a usual price"
    blank = compare_files(first, loop.write(folder / "lacking.xlsx", lacking))
    assert blank.difference is None
    assert "no price" in blank.notes[0]
    assert [change.label for change in blank.changes] != []
