"""Three jobs worked out by hand, step by step, and met to the cent.

Source of every figure in this file: by hand, in the comments beside it.
"""

from __future__ import annotations

import pytest

from quotebook.pricing import ELEMENTS, Elements, price_job
from tests.samples import (
    cost_plus_job,
    cost_plus_shop,
    metric_job,
    metric_shop,
    whole_step_job,
    whole_step_shop,
)


def check(elements: Elements, *amounts: float) -> None:
    """Compare all eight elements, in order, to a hundredth of a cent."""
    assert dict(elements.items()) == pytest.approx(dict(zip(ELEMENTS, (*amounts, 0.0), strict=True)), abs=1e-4)


def test_purchases_rounded_up_to_whole_units_and_a_cheaper_cleaning_rate() -> None:
    price = price_job(whole_step_job(), whole_step_shop())
    lot = price.lot(10)
    # 10 good and 1 spare, nothing scraps: 11 pieces enter both operations.
    assert lot.entering == (11, 11)
    # Setup: 1 h + (6 touch-offs x 4 + 1 tight feature x 20) min = 1.73333 h at 70 + 45 = 199.3333;
    #        cleaning 0.25 h at 35 = 8.75; together 208.0833.
    # Machine: 11 x (9 + 1.5) / 60 = 1.925 h at 70 = 134.75.
    # Labor: half of it, 0.9625 h at 45 = 43.3125; cleaning 11 x 3 / 60 = 0.55 h at 35 = 19.25; 62.5625.
    # Stock: 11 x 7.30 + 12.50 = 92.80; x 1.15 = 106.72; up to 107.
    # Outside: 11 x 2.10 = 23.10, below the minimum 45; + 5 = 50; x 1.20 = 60.
    # Hardware: 4 x 10 x 1.05 / 25 = 1.68, 2 packs; 12.80 x 1.25 = 16.
    # Inspection: 0.25 h + 10 x 2 min = 0.58333 h at 65 = 37.9167.
    # Packing: 8 + 10 x 0.50 = 13; the freight is the customer's.
    check(lot.price_elements, 208.0833, 134.75, 62.5625, 107.0, 60.0, 16.0, 37.9167, 13.0)
    # Cost: setup 1.73333 x (40 + 30) + 0.25 x 22; machine 1.925 x 40; labor 0.9625 x 30 + 0.55 x 22;
    #       purchases as paid; inspection 0.58333 x 40.
    check(lot.cost_elements, 126.8333, 77.0, 40.975, 92.80, 50.0, 12.80, 23.3333, 13.0)
    # The elements add up to 639.3125: 63.93125 a piece, up to 63.94; 10 x 63.94 = 639.40.
    assert lot.lot_price == pytest.approx(639.3125, abs=1e-4)
    assert (lot.unit_price, lot.goods, lot.supplement, lot.extended_price) == (63.94, 639.40, 0.0, 639.40)
    # Nonrecurring: 4 h x 45 + 90 x 1.10 = 279; at cost 4 x 30 + 90 = 210.
    assert (price.nonrecurring_full, price.nonrecurring_cost) == (279.0, 210.0)
    assert lot.first_order_total == pytest.approx(918.40)
    assert lot.repeat.extended_price == 639.40
    # Cost adds up to 436.7417; 202.6583 of 639.40 is 31.695 %, of the cost 46.402 %.
    assert lot.cost == pytest.approx(436.741667, abs=1e-5)
    assert lot.margin == pytest.approx(0.3169508, abs=1e-6)
    assert lot.markup == pytest.approx(0.4640233, abs=1e-6)


def test_first_and_next_piece_of_the_same_job() -> None:
    price = price_job(whole_step_job(), whole_step_shop())
    # One piece and one spare: setup 208.0833; machine 2 x 10.5 / 60 x 70 = 24.50; labor 0.175 x 45 + 0.1 x 35 = 11.375;
    # stock 2 x 7.30 + 12.50 = 27.10, x 1.15 = 31.165, up to 32; outside 60; 1 pack 6.40 x 1.25 = 8;
    # inspection (0.25 + 2/60) x 65 = 18.4167; packing 8.50. Together 370.875, up to 370.88.
    assert price.first_piece.entering == (2, 2)
    check(price.first_piece.price_elements, 208.0833, 24.5, 11.375, 32.0, 60.0, 8.0, 18.4167, 8.5)
    assert price.first_piece.unit_price == 370.88
    assert price.first_piece_total == pytest.approx(649.88)  # + 279
    # Next piece: 10.5/60 x (70 + 0.5 x 45) = 16.1875; cleaning 3/60 x 35 = 1.75; stock 7.30 x 1.15 = 8.395;
    # outside 2.10 x 1.20 = 2.52; inserts 4 x 1.05 x 6.40 / 25 x 1.25 = 1.344; inspection 2/60 x 65 = 2.1667;
    # packing 0.50: 32.8632, up to 32.87.
    assert price.next_piece.sell == pytest.approx(32.8631667, abs=1e-6)
    assert price.next_piece_price == 32.87
    # At cost: 9.625 + 1.10 + 7.30 + 2.10 + 1.0752 + 1.3333 + 0.50 = 23.0335.
    assert price.next_piece_cost == pytest.approx(23.0335333, abs=1e-6)
    # Break even: 436.7417 - 10 x 23.0335 + 210 - 279 = 137.4063 spent once; each piece earns 63.94 - 23.0335 = 40.9065;
    # 3.36, so 4 pieces.
    assert price.lot(10).break_even_quantity == 4


def test_a_metric_job_with_scrap_and_supplier_price_breaks() -> None:
    price = price_job(metric_job(), metric_shop())
    # Cycle of 10 from its cutting lines: 120 / 80 + 2 x (6 / 10 + 9 / 60) = 1.5 + 1.5 = 3 min.
    # Yields to the end: 0.96 x 1 x 0.95 = 0.912; 0.95; 0.95.
    small, large = price.lots
    # 20 / 0.912 = 21.93; 20 / 0.95 = 21.05. 50 / 0.912 = 54.82; 50 / 0.95 = 52.63.
    assert small.entering == (22, 22, 22)
    assert large.entering == (55, 53, 53)
    # Pieces per bar: (3000 - 85) / (48 + 2 + 3) = 55 exactly: one bar is just enough for 55.
    assert (small.units_bought, large.units_bought) == (1, 1)
    # Setup 1.5 x 75 + 0.2 x 40 = 120.50.
    # Machine 22 x 3.5 / 60 x 75 = 96.25; 55: 240.625.
    # Labor 22 x (2 + 4/8) / 60 x 40 = 36.6667; 53: 88.3333.
    # Stock: pi/4 x 30^2 x 3000 = 2 120 575.04 mm3, x 7.85 / 10^6 = 16.646514 kg, x 4.20 = 69.9154, above the
    #        minimum 60; + 15 = 84.9154; x 1.10 = 93.4069.
    # Nitriding: 22 x 3.80 = 83.60, above 75; + 18 = 101.60; x 1.15 = 116.84.
    #            53 pieces reach the price from 40: 53 x 3.10 = 164.30, above the line's 90; + 18; x 1.15 = 209.645.
    # Pins: 2 x 20 x 1.1 / 100 = 0.44, 1 pack at 12.50, x 1.20 = 15.
    #       50: 1.1, 2 packs, and from 2 packs on 11.00: 22 x 1.20 = 26.40.
    # Inspection: a lot of 20 has sample 5: 0.5 h + 5 x 6 min = 1 h at 48 = 48. Lot of 50: 8, 1.3 h, 62.40.
    # Packing: 20 x 0.25 + 22 = 27; 50: 34.50.
    check(small.price_elements, 120.5, 96.25, 36.6667, 93.4069, 116.84, 15.0, 48.0, 27.0)
    check(large.price_elements, 120.5, 240.625, 88.3333, 93.4069, 209.645, 26.4, 62.4, 34.5)
    check(small.cost_elements, 72.5, 57.75, 22.9167, 84.9154, 101.6, 12.5, 30.0, 27.0)
    check(large.cost_elements, 72.5, 144.375, 55.2083, 84.9154, 182.3, 22.0, 39.0, 34.5)
    # 553.6636 / 20 = 27.6832, up to a step of 0.05: 27.70; x 20 = 554.
    assert (small.unit_price, small.extended_price) == (27.70, 554.0)
    # 875.8102 / 50 = 17.5162, up to 17.55; x 50 = 877.50.
    assert (large.unit_price, large.extended_price) == (17.55, 877.50)
    assert small.cost == pytest.approx(409.182026, abs=1e-5)
    assert large.cost == pytest.approx(634.798692, abs=1e-5)


def test_cost_plus_markup_spread_nonrecurring_order_minimum_and_expedite() -> None:
    price = price_job(cost_plus_job(), cost_plus_shop())
    small, large = price.lots
    # 4 off: setup 0.5 x 50 = 25, machine 4 x 6 / 60 x 50 = 20: cost 45, x 1.40 = 63.
    check(small.price_elements, 35.0, 28.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    # In a hurry and with discount: 63 x 1.25 x 0.90 = 70.875.
    assert small.adjusted == pytest.approx(70.875)
    # Nonrecurring: 2 h x 30 + 15 = 75, x 1.40 = 105, over 50 pieces 2.10 each; nothing on a line of its own.
    assert small.spread_per_piece == pytest.approx(2.10)
    assert small.charge == 0.0
    # 70.875 / 4 + 2.10 = 19.81875, up to 19.82; x 4 = 79.28; 320.72 to the order minimum.
    assert (small.unit_price, small.goods, small.supplement) == (19.82, 79.28, 320.72)
    assert small.extended_price == small.first_order_total == 400.0
    # Again: 17.71875, up to 17.72; 70.88; 329.12.
    assert (small.repeat.unit_price, small.repeat.goods, small.repeat.supplement) == (17.72, 70.88, 329.12)
    # Cost 45 + 75 x 4 / 50 = 51.
    assert small.cost == pytest.approx(51.0)
    assert small.margin == pytest.approx(349 / 400)
    assert small.markup == pytest.approx(349 / 51)
    # 40 off: 225 x 1.40 x 1.125 = 354.375, / 40 + 2.10 = 10.959375, up to 10.96; x 40 = 438.40, above the minimum.
    assert (large.unit_price, large.goods, large.supplement, large.extended_price) == (10.96, 438.40, 0.0, 438.40)
    # Again: 8.859375, up to 8.86; 354.40; 45.60 to the minimum.
    assert (large.repeat.unit_price, large.repeat.extended_price) == (8.86, 400.0)
    assert large.cost == pytest.approx(225 + 60)
    # First piece alone, not spread: 30 x 1.40 x 1.125 = 47.25, lifted to 400, + 105.
    assert (price.first_piece.unit_price, price.first_piece.supplement) == (47.25, 352.75)
    assert price.first_piece_total == pytest.approx(505.0)
    # Next piece: 5 x 1.40 x 1.125 = 7.875, up to 7.88.
    assert price.next_piece_price == 7.88
    # Break even: 45 - 4 x 5 + 75 = 100 spent once; 100 / (19.82 - 5) = 6.75, 7 pieces; 100 / 5.96 = 16.8, 17.
    assert [lot.break_even_quantity for lot in price.lots] == [7, 17]
    assert small.warnings == large.warnings == ()


@pytest.mark.parametrize(
    ("basis", "carries", "charge"),
    # Programming 4 h (30 cost, 45 sell) and 90 of material (10 % markup): cost 210.
    [
        ("sell rates", True, 279.0),  # 4 x 45 + 90 x 1.10
        ("sell rates", False, 210.0),  # at cost
        ("cost plus", True, 300.0),  # 210 / (1 - 0.30)
        ("cost plus", False, 210.0),  # at cost
    ],
)
def test_nonrecurring_carries_the_profit_or_not(basis: str, carries: bool, charge: float) -> None:
    job = whole_step_job()
    changes = {
        "pricing_basis": basis,
        "profit_rule": "margin",
        "profit_share": 0.30,
        "nonrecurring_carries_profit": carries,
    }
    price = price_job(job.model_copy(update={"job": job.job.model_copy(update=changes)}), whole_step_shop())
    assert price.nonrecurring_full == charge
    assert price.nonrecurring_cost == 210.0
    assert [line.cost for line in price.nonrecurring] == [120.0, 90.0]
