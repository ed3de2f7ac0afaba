"""The golden job of the trade handbook, every column of its table.

Source: trade handbook 1.12 (own example, no outside source) and its check values golden-5-*,
golden-25-* and golden-100-*, relative tolerance 1e-6.
"""

from __future__ import annotations

import pytest

from quotebook.pricing import LotPrice, price_job
from tests.samples import golden_job, golden_shop

COLUMNS = [
    *("quantity", "start", "sample", "bars", "run", "material", "outside"),
    *("total", "unit_cost", "price", "price_with_nonrecurring"),
]
#: The check values golden-<quantity>-start, n, bars, run, mat, osp, mfg, unit_cost, unit_price_margin30,
#: unit_price_nre_amortised.
CHECKS = [
    (5, 6, 5, 1, 190.0, 104.73944243, 150.0, 769.73944243, 153.94788849, 219.92555498, 457.06841212),
    (25, 28, 13, 1, 886.66666667, 104.73944243, 150.0, 1596.9061091, 63.87624436, 91.25177766, 138.68034909),
    (100, 109, 13, 3, 3451.66666667, 314.2183273, 354.25, 4879.38499397, 48.79384994, 69.70549991, 81.56264277),
]
#: The printed table, to the cent.
TABLE = [
    (5, 6, 5, 1, 190.00, 104.74, 150.00, 769.74, 153.95, 219.93, 457.07),
    (25, 28, 13, 1, 886.67, 104.74, 150.00, 1596.91, 63.88, 91.25, 138.68),
    (100, 109, 13, 3, 3451.67, 314.22, 354.25, 4879.38, 48.79, 69.71, 81.56),
]


def columns(lot: LotPrice, spread: LotPrice) -> dict[str, float | None]:
    """The handbook's columns; its run is the lathe's alone, and its prices are not rounded."""
    assert lot.cost is not None
    assert lot.adjusted is not None
    assert spread.adjusted is not None
    assert spread.spread_per_piece is not None
    return {
        "quantity": lot.quantity,
        "start": lot.pieces_started,
        "sample": lot.sample_size,
        "bars": lot.units_bought,
        "run": lot.cost_elements.machine,
        "material": lot.cost_elements.stock,
        "outside": lot.cost_elements.outside,
        "total": lot.cost,
        "unit_cost": lot.cost / lot.quantity,
        "price": lot.adjusted / lot.quantity,
        "price_with_nonrecurring": spread.adjusted / spread.quantity + spread.spread_per_piece,
    }


def both(quantity: int) -> dict[str, float | None]:
    own_line = price_job(golden_job(), golden_shop())
    spread = price_job(golden_job(nonrecurring_charging="spread"), golden_shop())
    return columns(own_line.lot(quantity), spread.lot(quantity))


@pytest.mark.parametrize("expected", CHECKS, ids=lambda row: f"{row[0]} off")
def test_every_check_value_is_met(expected: tuple[float, ...]) -> None:
    assert both(int(expected[0])) == pytest.approx(dict(zip(COLUMNS, expected, strict=True)), rel=1e-6)


@pytest.mark.parametrize("expected", TABLE, ids=lambda row: f"{row[0]} off")
def test_every_column_of_the_printed_table_is_met_to_the_cent(expected: tuple[float, ...]) -> None:
    found = {name: round(value or 0.0, 2) for name, value in both(int(expected[0])).items()}
    assert found == dict(zip(COLUMNS, expected, strict=True))


@pytest.mark.parametrize(
    ("quantity", "own_line", "spread"),
    # By hand from the table: the unrounded price, up to the next cent.
    [(5, 219.93, 457.07), (25, 91.26, 138.69), (100, 69.71, 81.57)],
)
def test_the_customers_price_is_rounded_up_to_the_cent(quantity: int, own_line: float, spread: float) -> None:
    assert price_job(golden_job(), golden_shop()).lot(quantity).unit_price == own_line
    spread_price = price_job(golden_job(nonrecurring_charging="spread"), golden_shop())
    assert spread_price.lot(quantity).unit_price == spread


def test_forty_three_pieces_come_from_a_bar() -> None:
    # Source: trade handbook, check value bar-yield-1: (144 - 6) / (3.0 + 0.1 + 0.09) is 43.26.
    lots = price_job(golden_job(quantities=(39, 40)), golden_shop()).lots
    assert [lot.pieces_started for lot in lots] == [43, 44]
    assert [lot.units_bought for lot in lots] == [1, 2]


def test_nonrecurring_comes_to_830_at_cost() -> None:
    # Source: trade handbook 1.12: 3 h x 85 + 400 + 2.5 h x 70; at 30 % margin 830 / 0.7 is 1185.714.
    price = price_job(golden_job(), golden_shop())
    assert price.nonrecurring_cost == pytest.approx(830.0)
    assert price.nonrecurring_full == 1185.71


def test_margin_and_markup_are_not_confused() -> None:
    # Source: trade handbook 1.12: at 30 % markup the 25-off price would be 83.04, 8.21 less.
    lot = price_job(golden_job(profit_rule="markup"), golden_shop()).lot(25)
    assert lot.adjusted is not None
    assert round(lot.adjusted / 25, 2) == 83.04
