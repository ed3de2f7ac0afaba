"""The single equations: sections and weights, pieces per bar, yields, rates, samples, supplier prices."""

from __future__ import annotations

from typing import Any

import pytest

from quotebook.model import (
    Buyout,
    Cutting,
    Inspection,
    Job,
    JobHeader,
    Operation,
    SamplingRow,
    Shop,
    Stock,
    SupplierPrice,
)
from quotebook.pricing import price_job
from quotebook.pricing.cutting import line_figures
from quotebook.pricing.inspection import sample_size
from quotebook.pricing.rates import rates_of
from quotebook.pricing.routing import entering_pieces, yields_to_end
from quotebook.pricing.setup import setup_hours
from quotebook.pricing.stock import section_area, unit_weight
from quotebook.pricing.terms import profit_factor, terms_of
from tests.samples import golden_shop, policy, whole_step_shop

#: Steel of 0.2833 lb/in3, the density behind the published weights. Source: trade handbook 2.1.
STEEL = 0.2833 * 27.679904710203


def bar(form: str, length: float, **sizes: Any) -> Job:
    stock = Stock(form=form, bar_length=length, density=STEEL, **sizes)
    return Job(job=JobHeader(units="in"), stock=stock)


@pytest.mark.parametrize(
    ("job", "pounds"),
    # Source: published bar weights, trade handbook 2.1, check values wt-*; tolerance 0.2 %.
    [
        (bar("round bar", 144, size_a=1.0), 32.04),
        (bar("flat bar", 120, size_a=2.0, size_b=0.5), 33.99),
        (bar("round bar", 48, size_a=0.75), 6.008),
        (bar("hex bar", 144, size_a=1.0), 35.33),
    ],
)
def test_published_bar_weights_are_met(job: Job, pounds: float) -> None:
    assert unit_weight(job, golden_shop()) == pytest.approx(pounds, rel=2e-3)


def test_a_metric_bar_weighs_the_same_in_kilograms() -> None:
    # By hand: 25.4 mm by 3657.6 mm is 1 in by 144 in; 1 lb is 0.45359237 kg.
    metric = Job(
        job=JobHeader(units="mm"), stock=Stock(form="round bar", size_a=25.4, bar_length=3657.6, density=STEEL)
    )
    inch = unit_weight(bar("round bar", 144, size_a=1.0), golden_shop())
    assert inch is not None
    assert unit_weight(metric, golden_shop()) == pytest.approx(inch * 0.45359237, rel=1e-9)


@pytest.mark.parametrize(
    ("stock", "area"),
    # By hand: pi/4 a2; sqrt(3)/2 a2; a2; a b; pi t (a - t) = outer less inner circle.
    [
        (Stock(form="round bar", size_a=2.0), 3.14159265),
        (Stock(form="hex bar", size_a=2.0), 3.46410162),
        (Stock(form="square bar", size_a=2.0), 4.0),
        (Stock(form="flat bar", size_a=2.0, size_b=0.5), 1.0),
        (Stock(form="plate", size_a=3.0, size_b=0.5), 1.5),
        (Stock(form="block", size_a=3.0, size_b=2.0), 6.0),
        (Stock(form="tube", size_a=2.0, wall=0.25), 3.14159265 / 4 * (4.0 - 2.25)),
    ],
    ids=lambda value: getattr(value, "form", None),
)
def test_sections(stock: Stock, area: float) -> None:
    assert section_area(stock) == pytest.approx(area, rel=1e-8)


def test_yield_is_the_product_of_what_survives() -> None:
    # Source: trade handbook 1.6, yield-start-1: 25 good at 0.98, 0.95, 0.99 start 28.
    assert yields_to_end([0.02, 0.05, 0.01])[0] == pytest.approx(0.98 * 0.95 * 0.99)
    assert entering_pieces(25, [0.02, 0.05, 0.01], 0, all_started=False)[0] == 28
    # By hand: 100 / 0.5 is 200, and exactly 200; 3 spare of 3 outdo a share of 5 %.
    assert entering_pieces(100, [0.5], 0, all_started=False) == (200,)
    assert entering_pieces(3, [0.05, 0.0], 3, all_started=False) == (6, 6)
    assert entering_pieces(10, [0.0, 0.5], 0, all_started=False) == (20, 20)
    assert entering_pieces(10, [0.5, 0.0], 0, all_started=False) == (20, 10)
    assert entering_pieces(10, [0.5, 0.0], 0, all_started=True) == (20, 20)


def test_margin_is_of_the_price_and_markup_of_the_cost() -> None:
    # Source: trade handbook 1.3, markup-1 and margin-price-1: 40 + 50 % markup is 60; a 50 % margin on 40 is 80.
    assert profit_factor("markup", 0.5) == 60 / 40
    assert profit_factor("margin", 0.5) == 80 / 40
    assert profit_factor("margin", 1.0) is None


def test_touch_offs_and_tight_features_take_minutes_of_setup() -> None:
    # By hand: 1 h + (6 x 4 + 1 x 20) / 60.
    operation = Operation(number=10, setup_base_hours=1.0, touch_offs=6, tight_features=1)
    assert setup_hours(operation, whole_step_shop()) == pytest.approx(1 + 44 / 60)


def test_a_hand_rate_replaces_machine_and_operator() -> None:
    # By hand, from the sample shop: Mill 70 / 40 with a Machinist 45 / 30; Cleaning 35 / 22.
    shop = whole_step_shop()
    both = rates_of(Operation(number=1, work_center="Mill", hand_rate="Cleaning"), shop)
    machine = rates_of(Operation(number=1, work_center="mill"), shop)
    assert both is not None
    assert (both.machine_sell, both.labor_sell, both.labor_cost) == (0.0, 35.0, 22.0)
    assert machine is not None
    assert (machine.machine_sell, machine.machine_cost, machine.labor_sell, machine.labor_cost) == (70, 40, 45, 30)
    assert rates_of(Operation(number=1), shop) is None


@pytest.mark.parametrize(
    ("line", "minutes"),
    # By hand.
    [
        (Cutting(operation=1, length=120.0, feed_per_minute=80.0), 1.5),
        (Cutting(operation=1, count=2, volume=6.0, removal_rate=10.0, other_seconds=9.0), 1.5),
        (Cutting(operation=1, other_seconds=30.0), 0.5),
        (Cutting(operation=1, length=10.0), None),
        (Cutting(operation=1, volume=10.0, feed_per_minute=5.0), None),
    ],
)
def test_cutting_minutes(line: Cutting, minutes: float | None) -> None:
    job = Job(job=JobHeader(units="in"), operation=(Operation(number=1),), cutting=(line,))
    assert line_figures(line, job, golden_shop()).minutes == minutes


@pytest.mark.parametrize(
    ("plan", "fixed", "quantity", "sample"),
    # By hand, with a table of 13 from 2 on and 50 from 151 on.
    [
        ("every piece", None, 7, 7),
        ("none", None, 7, 0),
        ("fixed number", 5, 7, 5),
        ("fixed number", 5, 3, 3),
        ("fixed number", None, 3, None),
        ("sampling table", None, 1, 1),
        ("sampling table", None, 5, 5),
        ("sampling table", None, 150, 13),
        ("sampling table", None, 151, 50),
    ],
)
def test_sample_sizes(plan: Any, fixed: int | None, quantity: int, sample: int | None) -> None:
    assert sample_size(Inspection(plan=plan, fixed_sample=fixed), golden_shop(), quantity) == sample


def _shop(**changes: Any) -> Shop:
    return golden_shop().model_copy(
        update={"policy": policy(**changes), "sampling": (SamplingRow(lot_from=1, sample=1),)}
    )


def _stock_cost(stock: Stock, quantity: int, units: Any = "in", **changes: Any) -> float | None:
    job = Job(
        job=JobHeader(units=units, quantities=(quantity,)),
        stock=stock,
        operations=(Operation(number=1, work_center="Lathe", cycle_minutes=0.0),),
    )
    return price_job(job, _shop(**changes)).lots[0].cost_elements.stock


def test_stock_by_the_foot_by_the_meter_by_weight_and_by_the_piece() -> None:
    # By hand: 12 pieces of 12 in need 2 bars of 10 pieces (120 in = 10 ft, 3 per ft): 60.
    foot = Stock(form="square bar", piece_length=12.0, bar_length=120.0, price_basis="per ft", price=3.0)
    assert _stock_cost(foot, 12) == pytest.approx(60.0)
    # Used length: 12 x 12 / 120 = 1.2 bars: 36.
    assert _stock_cost(foot, 12, bar_charging="used length") == pytest.approx(36.0)
    # Used length with the pieces per bar given: 12 / 8 = 1.5 bars: 45.
    given = foot.model_copy(update={"pieces_per_unit": 8})
    assert _stock_cost(given, 12, bar_charging="used length") == pytest.approx(45.0)
    assert _stock_cost(given, 12) == pytest.approx(60.0)
    # 3 m bars of 29 pieces (29.7): 30 pieces need 2 bars, 6 m at 2.50: 15.
    meter = Stock(form="tube", piece_length=98.0, kerf=3.0, bar_length=3000.0, price_basis="per m", price=2.5)
    assert _stock_cost(meter, 30, units="mm") == pytest.approx(15.0)
    # Castings of 2.5 lb at 4 per lb: 3 x 10, below the minimum 50; + 6 freight.
    casting = Stock(
        form="casting", unit_weight=2.5, price_basis="per lb", price=4.0, supplier_minimum=50.0, freight=6.0
    )
    assert _stock_cost(casting, 3) == pytest.approx(56.0)
    # Plate cut 6 to a sheet, at 20 a sheet: 13 pieces need 3 sheets, used length or not.
    plate = Stock(form="plate", pieces_per_unit=6, price_basis="each", price=20.0)
    assert _stock_cost(plate, 13, bar_charging="used length") == pytest.approx(60.0)
    # Blocks 100 x 50 x 200 mm of 2.7 g/cm3 weigh 2.7 kg: 4 at 5 per kg: 54.
    block = Stock(
        form="block", size_a=100.0, size_b=50.0, piece_length=200.0, density=2.7, price_basis="per kg", price=5.0
    )
    assert _stock_cost(block, 4, units="mm") == pytest.approx(54.0)
    assert _stock_cost(Stock(form="customer supplied", price=9.0, freight=9.0), 4) == 0.0


def test_supplier_prices_hold_from_their_quantity_on() -> None:
    # By hand: own price 10 below 5 pieces, 8 from 5 on (minimum 45), 7 from 20 on (own minimum 12).
    job = Job(
        job=JobHeader(units="in", quantities=(1, 4, 5, 6, 20)),
        stock=Stock(form="no stock"),
        buyouts=(Buyout(name="Plating", kind="outside processing", price=10.0, lot_minimum=12.0),),
        supplier_prices=(
            SupplierPrice(line="plating", from_quantity=20, price=7.0, chosen=True),
            SupplierPrice(line="Plating", from_quantity=5, price=8.0, lot_minimum=45.0, chosen=True),
            SupplierPrice(line="Plating", price=1.0),
        ),
    )
    lots = price_job(job, _shop()).lots
    assert [lot.cost_elements.outside for lot in lots] == pytest.approx([12.0, 40.0, 45.0, 48.0, 140.0])
    assert [lot.purchases[1].unit_price for lot in lots] == [10.0, 10.0, 8.0, 8.0, 7.0]


def test_overrides_of_the_job_go_before_the_policy_even_when_they_are_zero_or_no() -> None:
    head = JobHeader(
        units="in",
        profit_share=0.0,
        order_minimum=0.0,
        nonrecurring_carries_profit=False,
        expedite=True,
        expedite_share=0.0,
    )
    terms = terms_of(Job(job=head), _shop(order_minimum=50.0, profit_share=0.4))
    assert (terms.profit_share, terms.order_minimum, terms.nonrecurring_carries_profit) == (0.0, 0.0, False)
    assert terms.order_factor == 1.0


def test_the_order_of_larger_lots_is_watched() -> None:
    # By hand: setup 60, nothing a piece: 60.00 and 30.00; a 30-piece charge that starts at 2 makes both warnings.
    job = Job(
        job=JobHeader(units="in", quantities=(1, 2)),
        stock=Stock(form="no stock"),
        buyouts=(Buyout(name="Heat treat", kind="outside processing", price=10.0),),
        supplier_prices=(SupplierPrice(line="Heat treat", from_quantity=2, price=40.0, chosen=True),),
    )
    price = price_job(job, _shop(margin_floor=0.0))
    # 10 for one, 2 x 40 / 2 = 40 each for two.
    assert [lot.warnings for lot in price.lots] == [(), ("unit price rises",)]
    cheaper = job.model_copy(
        update={"supplier_prices": (SupplierPrice(line="Heat treat", from_quantity=2, price=4.0, chosen=True),)}
    )
    lots = price_job(cheaper, _shop(margin_floor=0.5)).lots
    # 10 for one, 8 for both; no markup and no profit at sell rates, so the margin is 0.
    assert [lot.warnings for lot in lots] == [
        ("margin under floor",),
        ("extended price falls", "margin under floor"),
    ]
