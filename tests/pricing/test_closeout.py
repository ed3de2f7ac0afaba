"""The close-out of a job worked out by hand, and the bridge's sum on the example jobs."""

from __future__ import annotations

from typing import Any

import pytest

from quotebook.flows.demo import examples_folder
from quotebook.model import HandRate, Job, Shop, ShopHeader, job_from_data, read_job, read_shop
from quotebook.pricing.closeout import Closeout, close_out
from tests.samples import policy, work_center


def shop(cost: float = 40) -> Shop:
    header = ShopHeader(name="Hand-worked shop")
    hand = HandRate(name="Bench", cost_rate=30, sell_rate=45)
    return Shop(shop=header, policy=policy(), hand_rates=(hand,), work_centers=(work_center("M", cost, 60),))


def job(**actuals: Any) -> Job:
    """Eight pieces quoted at 50.00: setup 2 h, half an hour each, outside processing at 5.00."""
    operation = {
        "number": 10, "work_center": "M", "setup_base_hours": 2, "cycle_minutes": 30,
        "actual_setup_hours": 2.5, "actual_run_hours": 6.6, "actual_pieces": 12,
    }  # fmt: skip
    data: dict[str, Any] = {
        "job": {"units": "mm", "quantities": [8]},
        "stock": {"form": "no stock"},
        "operation": [operation],
        "buyout": [{"name": "Paint", "kind": "outside processing", "price": 5, "actual_cost": 66}],
        "actuals": {"pieces_started": 12, "good_pieces": 10, "invoiced": 480, **actuals},
    }
    return job_from_data(data, "by hand")


def amounts(closed: Closeout) -> dict[str, float]:
    return {row.kind: row.amount for row in closed.kinds}


def test_a_job_by_hand() -> None:
    # By hand. Quoted 8: price 120 + 240 + 40 = 400, cost 80 + 160 + 40 = 280. Ten good ones: 500 and 330 at standard.
    # Quantity (500 - 400) - (330 - 280) = 50; price 480 - 500; scrap 2 x 0.5 h x 40; setup 0.5 h x 40;
    # run (6.6 - 12 x 0.5) h x 40 = 24; paint 66 - 50. Spent 2.5 x 40 + 6.6 x 40 + 66 = 430, left over 50.
    closed = close_out(job(), shop())
    assert (closed.quoted_profit, closed.profit) == (pytest.approx(120), pytest.approx(50))
    expected = {"quantity": 50, "price": -20, "scrap": -40, "time": -44, "rate": 0, "purchase": -16}
    assert amounts(closed) == pytest.approx(expected)
    assert closed.margin == pytest.approx(50 / 480)
    assert closed.quoted_margin == pytest.approx(0.30)
    assert sum(row.points or 0 for row in closed.kinds) == pytest.approx(50 / 480 - 0.30)
    # At sell rates 2.5 x 60 + 6.6 x 60 + 66 = 612.
    assert closed.over_sell_rates == pytest.approx(480 - 612)
    assert closed.verdict == "it made money, but its hours did not earn their sell rates"
    assert closed.operations[0].ran_over


def test_an_hour_that_costs_more_is_a_rate_variance() -> None:
    closed = close_out(job(), shop(), shop(cost=42))
    assert amounts(closed)["rate"] == pytest.approx(-2 * (2.5 + 6.6))  # by hand: two more on each hour taken
    assert closed.profit == pytest.approx(50 - 18.2)


@pytest.mark.parametrize(
    ("gap", "told"),
    [({"good_pieces": None}, "Good pieces"), ({"invoiced": None}, "invoiced"), ({"good_pieces": 0}, "No good piece")],
)
def test_a_missing_figure_leaves_the_answer_unknown(gap: dict[str, Any], told: str) -> None:
    closed = close_out(job(**gap), shop())
    assert closed.profit is None
    assert closed.verdict.startswith("unknown")
    assert any(told in one for one in closed.missing)


def test_fewer_good_pieces_than_any_quantity_are_held_against_the_first_piece_alone() -> None:
    closed = close_out(job(good_pieces=3, invoiced=300), shop())
    # By hand: one piece alone 120 + 30 + 5 = 155 against cost 80 + 20 + 5 = 105.
    assert (closed.quoted_quantity, closed.quoted_profit) == (1, pytest.approx(50))


@pytest.mark.parametrize("name", ["spacer-ring", "valve-body", "guide-rail", "clamp-jaw", "pulley-hub", "pivot-pin"])
def test_the_bridge_of_every_example_sums_to_the_whole_difference(name: str) -> None:
    # Source: the identity itself; actual cost is added up directly and not from the variances.
    closed = close_out(
        read_job(examples_folder() / "jobs" / f"{name}.toml"), read_shop(examples_folder() / "shop.toml")
    )
    assert closed.profit is not None
    assert closed.quoted_profit is not None
    assert sum(step.amount for step in closed.steps) == pytest.approx(closed.profit - closed.quoted_profit, abs=1e-9)
    assert sum(row.points or 0 for row in closed.kinds) == pytest.approx(
        (closed.margin or 0) - (closed.quoted_margin or 0), abs=1e-12
    )
