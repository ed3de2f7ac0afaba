"""What people type, read back: nothing is lost, nothing is made nicer, and what cannot be is handed on as it is."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import pytest

from quotebook.flows.new import inputs_of_workbook, make_workbook
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.model import to_data
from quotebook.template.fill import to_cell
from quotebook.template.spec import FieldSpec
from quotebook.values import Value
from quotebook.workbook.changes import NewFormula
from quotebook.workbook.inputs import from_cell
from quotebook.workbook.patch import write_copy
from tests.made import FEW_ROWS, place, with_inputs
from tests.samples import metric_job, metric_shop


def field(kind: str) -> FieldSpec:
    return FieldSpec(name="some_field", label="Some field", bind="job.some.field", type=kind)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "cell", "expected"),
    [
        ("text", None, None),
        ("text", "", None),
        ("text", "   ", None),
        ("text", 7.0, "7"),
        ("text", 1.5, "1.5"),
        ("text", "007", "007"),
        ("text", " two ", " two "),
        ("text", True, "TRUE"),
        ("choice", 6061.0, "6061"),
        ("yesno", "yes", True),
        ("yesno", "No", False),
        ("yesno", " YES ", True),
        ("yesno", True, True),
        ("yesno", False, False),
        ("yesno", "perhaps", "perhaps"),
        ("yesno", 1.0, "1"),
        ("pieces", 5.0, 5),
        ("pieces", 5.5, 5.5),
        ("pieces", "5", "5"),
        ("hours", 5.0, 5.0),
        ("hours", "2h", "2h"),
        ("hours", 0.0, 0.0),
        ("share", 0.15, 0.15),
        # Day 47727 of the 1900 system: 2030-09-01, counted by hand from 2000-01-01 = 36526 (published).
        ("date", 47727.0, datetime.date(2030, 9, 1)),
        ("date", 47727.5, 47727.5),
        ("date", "soon", "soon"),
        ("date", 1e12, 1e12),
    ],
)
def test_a_cell_is_read_as_what_its_field_takes(kind: str, cell: Value, expected: Any) -> None:
    found = from_cell(cell, field(kind))
    assert found == expected
    assert type(found) is type(expected)


def test_dates_of_the_1904_system_are_the_same_days() -> None:
    """Published: the two systems lie 1462 days apart."""
    assert from_cell(47727.0 - 1462, field("date"), date1904=True) == datetime.date(2030, 9, 1)


@pytest.mark.parametrize(
    ("value", "kind"),
    [
        (True, "yesno"),
        (False, "yesno"),
        (3, "pieces"),
        (0.1, "hours"),
        (datetime.date(2031, 2, 28), "date"),
        ("=1+1", "text"),
        ("#N/A", "text"),
        ("TRUE", "text"),
    ],
)
def test_what_is_written_is_read_back(value: Any, kind: str) -> None:
    found = from_cell(to_cell(value), field(kind))
    assert found == value
    assert type(found) is type(value)


def test_zero_is_an_input_and_blank_is_none(metric_file: Path, tmp_path: Path) -> None:
    zero = open_workbook(with_inputs(metric_file, tmp_path / "zero.xlsx", {("load_minutes", 0): 0.0}))
    blank = open_workbook(with_inputs(metric_file, tmp_path / "blank.xlsx", {("load_minutes", 0): None}))
    assert zero.inputs is not None
    assert blank.inputs is not None
    assert zero.inputs.job["operation"][0]["load_minutes"] == 0.0
    assert "load_minutes" not in blank.inputs.job["operation"][0]


def test_every_input_knows_its_cell(metric_file: Path) -> None:
    opened = open_workbook(metric_file)
    assert opened.inputs is not None
    places = opened.inputs.places
    assert places["job", "operation", 1, "hand_rate"] == place(opened, "operation_hand_rate", 1)
    assert places["job", "job", "quantities", 1] == place(opened, "break_quantity", 1)
    assert places["shop", "policy", "price_step"] == place(opened, "price_step")
    assert len(places) > 100


def test_a_blank_row_between_filled_ones_is_passed_over(metric_file: Path, tmp_path: Path) -> None:
    """People leave gaps: the second quantity stands in the third row."""
    source = with_inputs(metric_file, tmp_path / "gap.xlsx", {("break_quantity", 1): None, ("break_quantity", 2): 50.0})
    opened = open_workbook(source)
    assert opened.job == metric_job()


def test_inputs_that_are_no_valid_job_are_carried_over_as_they_are(metric_file: Path, tmp_path: Path) -> None:
    """A fresh workbook for a half-done estimate must not lose or mend what was typed."""
    wrong = {("scrap_share", 0): 1.0, ("cycle_minutes", 1): "2h", ("operation_work_center", 0): "No such machine"}
    old = with_inputs(metric_file, tmp_path / "old.xlsx", wrong)
    shop, job, notes = inputs_of_workbook(old)
    assert any("scrap_share" in note for note in notes)
    assert any("2h" in note for note in notes)
    fresh = tmp_path / "fresh.xlsx"
    fresh.write_bytes(make_workbook(shop, job, rows={**FEW_ROWS, "routing": 7}).content)
    again = inputs_of_workbook(fresh)
    assert again[:2] == (shop, job)
    assert job["operation"][0]["scrap_share"] == 1.0
    assert job["operation"][1]["cycle_minutes"] == "2h"
    assert shop == {**to_data(metric_shop()), **shop}


def test_a_formula_typed_as_an_input_counts_by_its_stored_result(metric_file: Path, tmp_path: Path) -> None:
    """Somebody types =1+0.5 hours into an input. A stored result that is wrong must not pass."""
    cell = place(open_workbook(metric_file), "setup_base_hours", 0)
    for result, agrees in ((1.5, True), (9.0, False)):
        target = tmp_path / f"formula-{result}.xlsx"
        write_copy(metric_file, target, {cell: NewFormula("1+0.5", result)})
        opened = open_workbook(target)
        assert opened.job is not None
        assert opened.job.operations[0].setup_base_hours == result
        assert metric_job().operations[0].setup_base_hours == 1.5
        recomputed = recompute(target)
        assert recomputed.agree is agrees
        assert agrees or str(cell) in [one.cell for one in recomputed.disagreements]
