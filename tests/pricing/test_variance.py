"""Variance formulas against published worked examples, and ratios over jobs against figures by hand."""

from __future__ import annotations

import math

import pytest

from quotebook.pricing.calibration import Observation, ratios, t_point
from quotebook.pricing.variance import (
    efficiency_variance,
    labor_variance,
    overhead_budget_variance,
    overhead_volume_variance,
    purchase_price_variance,
    rate_variance,
    usage_variance,
)

_BLOG = "accountingcoach.com/blog/labor-efficienc-variance-standard-cost"
_POST = "de.ketiadaan.com/post/if-less-overhead-is-applied-than-was-budgeted-the-production-volume-variance-is"

#: Name of the check in the handbook's list, what the formula gives, what the page prints, the page.
PUBLISHED = (
    ("var-rate-1", rate_variance(10.3, 10, 18400), 5520, _BLOG),
    ("var-eff-1", efficiency_variance(18400, 18000, 10), 4000, _BLOG),
    ("var-tot-1", labor_variance(189520, 180000), 9520, _BLOG),
    ("var-dm-price-2", purchase_price_variance(17, 15, 12000), 24000, _POST),
    ("var-dl-rate-2", rate_variance(21, 20, 6500), 6500, _POST),
    ("var-dl-eff-2", efficiency_variance(6500, 6000, 20), 10000, _POST),
    ("var-foh-budget-2", overhead_budget_variance(62000, 60000), 2000, _POST),
    ("var-foh-vol-2", overhead_volume_variance(60000, 6000, 8), 12000, _POST),
    # This page gives the overhead applied, 594 000, and neither hours nor rate.
    ("var-foh-vol-3", overhead_volume_variance(600000, 594000, 1), 6000, "gaodun.com/q/9054jh"),
    ("var-foh-vol-4", overhead_volume_variance(10500 * 0.8, 10000, 0.8), 400, "archive.laminart.com/dudas/15324989"),
)


@pytest.mark.parametrize(("name", "found", "printed", "page"), PUBLISHED, ids=[row[0] for row in PUBLISHED])
def test_the_formulas_give_what_the_page_prints(name: str, found: float, printed: float, page: str) -> None:
    assert found == pytest.approx(printed, rel=1e-9), page


def test_rate_and_efficiency_add_up_to_the_total() -> None:
    # Source: the identity (AR - SR) AH + (AH - SH) SR = AH AR - SH SR.
    parts = rate_variance(10.3, 10, 18400) + efficiency_variance(18400, 18000, 10)
    assert parts == pytest.approx(labor_variance(18400 * 10.3, 18000 * 10))


def test_usage_is_quantity_beyond_the_allowed_at_the_standard_price() -> None:
    assert usage_variance(120, 100, 2.5) == pytest.approx(50)  # by hand: 20 more at 2.50


def test_two_jobs_give_the_geometric_mean_and_a_wide_interval() -> None:
    # By hand: ratios 1 and 1.21, logs 0 and 0.190620; mean 0.095310, deviation 0.134789, t 12.706 for one degree.
    (one,) = ratios([Observation("a", "Lathe, run", 10, 10), Observation("b", "Lathe, run", 10, 12.1)])
    assert one.mean == pytest.approx(1.1, abs=1e-9)
    assert one.spread == pytest.approx(math.exp(0.134789), abs=1e-5)
    assert one.low == pytest.approx(math.exp(0.0953102 - 12.706 * 0.1347889 / math.sqrt(2)), rel=1e-5)
    assert one.high == pytest.approx(math.exp(0.0953102 + 12.706 * 0.1347889 / math.sqrt(2)), rel=1e-5)
    assert one.of_sums == pytest.approx(22.1 / 20)
    assert not one.enough
    assert one.suggestion is None
    assert "too few" in one.told


def test_ten_jobs_that_agree_suggest_their_ratio_and_nine_do_not() -> None:
    rows = [Observation(str(n), "setup", 2, 2.4) for n in range(10)]
    (one,) = ratios(rows)
    assert one.suggestion == pytest.approx(1.2)
    assert ratios(rows[:9])[0].suggestion is None


def test_no_suggestion_when_the_interval_holds_one() -> None:
    rows = [Observation(str(n), "setup", 1, 1.3 if n % 2 else 1 / 1.3) for n in range(12)]
    (one,) = ratios(rows)
    assert one.enough
    assert one.suggestion is None


def test_hours_of_one_job_in_one_group_are_added_before_the_ratio() -> None:
    rows = [Observation("a", "run", 1, 3), Observation("a", "run", 9, 7)]
    (one,) = ratios(rows)
    assert (one.jobs, one.mean) == (1, pytest.approx(1.0))
    assert one.low is None


def test_t_beyond_the_table_meets_published_points() -> None:
    # Source: published tables of t: 2.021 at 40, 2.000 at 60, 1.980 at 120 degrees.
    assert [round(t_point(n), 3) for n in (40, 60, 120)] == [2.021, 2.000, 1.980]
