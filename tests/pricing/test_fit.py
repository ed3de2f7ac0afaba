"""The fit check. Source of all expectations: by hand from the sizes in each test."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from quotebook.model import Fit, Job, JobHeader, Stock
from quotebook.pricing import fit_check
from tests.samples import golden_job, golden_shop

FITTING = {"length": 3.0, "width": 1.5, "height": 1.5, "tightest_tolerance": 0.001, "interest": 2}
DATES = {"quote_date": date(2031, 5, 1), "due_date": date(2031, 5, 31), "lead_days": 30}


def job(header: dict[str, Any] | None = None, **fit: Any) -> Job:
    return golden_job(**{**DATES, **(header or {})}).model_copy(update={"fit": Fit(**{**FITTING, **fit})})


def states(one: Job) -> dict[str, str]:
    return {row.name: row.state for row in fit_check(one, golden_shop()).criteria}


def test_a_job_that_fits_is_a_go() -> None:
    result = fit_check(job(), golden_shop())
    assert [row.name for row in result.criteria] == [
        "envelope",
        "tolerance",
        "material",
        "quantity",
        "due date",
        "interest",
        "load",
        "special processes",
    ]
    # No work center of this shop states the load of its table.
    assert [row.state for row in result.criteria] == [*["fits"] * 6, "not compared", "fits"]
    assert all(row.sentence.endswith(".") for row in result.criteria)
    assert result.decision == "go"


@pytest.mark.parametrize(
    ("criterion", "changed"),
    [
        ("envelope", job(length=20.1)),  # largest travel 20 in
        ("envelope", job(length=13.0, width=13.0, height=13.0)),  # smallest travel 12 in
        ("tolerance", job(tightest_tolerance=0.0004)),  # held is 0.0005 in
        ("material", job().model_copy(update={"stock": Stock(form="plate", material="Titanium")})),
        ("quantity", job({"quantities": (5, 200_000)})),  # largest lot 100 000
        ("due date", job({"lead_days": 31})),  # 30 days from 1 to 31 May
        ("interest", job(interest=0)),
    ],
)
def test_one_misfit_is_a_no_go_unless_overruled(criterion: str, changed: Job) -> None:
    assert [name for name, state in states(changed).items() if state == "does not fit"] == [criterion]
    assert fit_check(changed, golden_shop()).decision == "no-go"
    reason = changed.fit.model_copy(update={"overrule_reason": "A good customer"})
    assert fit_check(changed.model_copy(update={"fit": reason}), golden_shop()).decision == "go, overruled"
    blank = changed.fit.model_copy(update={"overrule_reason": "  "})
    assert fit_check(changed.model_copy(update={"fit": blank}), golden_shop()).decision == "no-go"


@pytest.mark.parametrize(
    ("criterion", "changed"),
    [
        ("envelope", job(height=None)),
        ("tolerance", job(tightest_tolerance=None)),
        ("material", job().model_copy(update={"stock": Stock(form="plate")})),
        ("quantity", job({"quantities": ()})),
        ("due date", job({"lead_days": None})),
        ("interest", job(interest=None)),
    ],
)
def test_what_is_not_said_leaves_it_undecided(criterion: str, changed: Job) -> None:
    assert [name for name, state in states(changed).items() if state == "not said"] == [criterion]
    assert fit_check(changed, golden_shop()).decision == "undecided"


def metric_part(**fit: Any) -> Job:
    return Job(job=JobHeader(units="mm"), fit=Fit(**fit), operations=golden_job().operations)


def test_units_are_converted_before_sizes_are_compared() -> None:
    # 20 in is exactly 508 mm, 0.0005 in exactly 0.0127 mm.
    fitting = metric_part(length=508.0, width=406.4, height=304.8, tightest_tolerance=0.0127)
    assert (states(fitting)["envelope"], states(fitting)["tolerance"]) == ("fits", "fits")
    larger = metric_part(length=508.1, width=1.0, height=1.0, tightest_tolerance=0.0126)
    assert (states(larger)["envelope"], states(larger)["tolerance"]) == ("does not fit", "does not fit")


def test_a_part_may_be_turned_to_fit() -> None:
    assert states(job(length=11.0, width=19.0, height=15.0))["envelope"] == "fits"


@pytest.mark.parametrize("form", ["no stock", "customer supplied"])
def test_stock_that_is_not_bought_suits_whatever_it_is(form: Any) -> None:
    assert states(job().model_copy(update={"stock": Stock(form=form, material="Unheard of")}))["material"] == "fits"


def test_without_a_work_center_neither_envelope_nor_tolerance_is_judged() -> None:
    by_hand = job().model_copy(update={"operations": golden_job().operations[2:]})
    assert states(by_hand)["envelope"] == states(by_hand)["tolerance"] == "not said"
