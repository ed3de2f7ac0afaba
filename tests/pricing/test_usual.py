"""What is taken where a job says nothing. By hand; which sizes follow from the part: common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from quotebook.model import (
    Buyout,
    Cutting,
    Fit,
    Job,
    JobHeader,
    Material,
    Operation,
    Shop,
    StandardSize,
    Stock,
    SupplierPrice,
    Usual,
)
from quotebook.pricing import price_job
from quotebook.pricing.usual import job_in_force, usual_stock_price
from tests.samples import metric_shop, work_center

USUAL = Usual(units="in", tool_changes=1, rapid_length=2, clean_up=0.1, facing=0.05, kerf=0.125, bar_length=120, grip=4)
SIZES = tuple(
    StandardSize(form=form, units=units, size=size)
    for form, units, size in (
        ("round bar", "mm", 30), ("round bar", "mm", 40), ("block", "in", 1), ("block", "in", 1.5), ("tube", "mm", 50),
        ("flat bar", "in", 0.5),
    )
)  # fmt: skip


def shop(**changes: Any) -> Shop:
    """A metric shop whose lathe has usual figures, and whose steel has a price."""
    lathe = work_center(
        "Lathe", 50, 80, usual_setup_hours=0.75, usual_load_minutes=0.4, rapid_rate=400, tool_change_seconds=6
    )
    steel = Material(name="Steel", density=7.85, usual_price=2.0, usual_price_basis="per lb")
    return metric_shop().model_copy(
        update={"work_centers": (lathe,), "materials": (steel,), "standard_sizes": SIZES, "usual": USUAL, **changes}
    )


def job(stock: Stock | None = None, fit: Fit | None = None, **parts: Any) -> Job:
    head = JobHeader(units="mm", quantities=(10,))
    return Job(job=head, stock=stock or Stock(), fit=fit or Fit(), **parts)


LINES = (Cutting(operation=10, length=9, feed_per_minute=9), Cutting(operation=10, other_seconds=30, tool_changes=0))


def test_an_operation_takes_setup_load_and_tools_of_its_work_center() -> None:
    force = job_in_force(job(operations=(Operation(number=10, work_center="LATHE"),), cutting=LINES), shop())
    row = force.operations[0]
    assert (row.setup_base_hours, row.load_minutes, row.touch_offs) == (0.75, 0.4, 1)
    assert [line.tool_changes for line in force.cutting] == [1, 0]
    assert [line.rapid_length for line in force.cutting] == pytest.approx([50.8, 50.8])
    assert job_in_force(force, shop()) == force


def test_a_typed_0_means_none_and_a_hand_rate_takes_nothing() -> None:
    typed = Operation(number=10, work_center="Lathe", setup_base_hours=0, load_minutes=0, touch_offs=0)
    by_hand = Operation(number=20, work_center="Lathe", hand_rate="Bench")
    force = job_in_force(job(operations=(typed, by_hand), cutting=LINES), shop())
    for row in force.operations:
        assert (row.setup_base_hours, row.load_minutes, row.touch_offs) == (0, 0, 0)


def test_without_usual_figures_nothing_is_taken() -> None:
    plain = shop(usual=Usual(), work_centers=(work_center("Lathe", 50, 80, rapid_rate=400),))
    fit = Fit(length=60, width=28, height=28)
    force = job_in_force(
        job(Stock(form="round bar", finished_size=28), fit, operations=(Operation(number=10, work_center="Lathe"),),
            cutting=LINES), plain,
    )  # fmt: skip
    row, stock = force.operations[0], force.stock
    assert (row.setup_base_hours, row.load_minutes, row.touch_offs) == (0, 0, 0)
    assert (force.cutting[0].tool_changes, force.cutting[0].rapid_length) == (0, 0)
    assert (stock.size_a, stock.piece_length, stock.bar_length, stock.facing, stock.kerf) == (None, None, None, 0, 0)


def test_moves_are_taken_only_where_the_rapid_rate_is_known() -> None:
    slow = shop(work_centers=(work_center("Lathe", 50, 80),))
    force = job_in_force(job(operations=(Operation(number=10, work_center="Lathe"),), cutting=LINES), slow)
    assert force.cutting[0].rapid_length == 0


#: Form, the part's sizes in mm, and size_a, size_b, piece length in force; the clean-up is 0.1 in, 2.54 mm.
FOLLOWING: list[tuple[str, tuple[float, float, float], tuple[float | None, float | None, float | None]]] = [
    ("round bar", (60, 28, 27.9), (None, None, None)),
    ("round bar", (60, 27, 27), (30, None, 60)),
    ("round bar", (28, 60, 28), (40, None, 60)),
    ("round bar", (37, 37, 5), (40, None, 5)),
    ("round bar", (39, 39, 5), (None, None, 5)),
    ("square bar", (20, 20, 50), (None, None, 50)),
    ("tube", (20, 47, 47), (50, None, 20)),
    ("block", (100, 22, 50), (52.54, 25.4, 102.54)),
    ("block", (100, 23, 50), (52.54, 38.1, 102.54)),
    ("flat bar", (100, 23, 50), (None, None, None)),
    ("hex bar", (60, 27, 27), (None, None, None)),
    ("casting", (60, 27, 27), (None, None, None)),
]


@pytest.mark.parametrize(("form", "part", "sizes"), FOLLOWING)
def test_sizes_of_stock_follow_from_the_part_where_it_leaves_no_doubt(form: Any, part: Any, sizes: Any) -> None:
    fit = Fit(length=part[0], width=part[1], height=part[2])
    stock = job_in_force(job(Stock(form=form), fit), shop()).stock
    assert (stock.size_a, stock.size_b, stock.piece_length) == tuple(
        None if size is None else pytest.approx(size, abs=1e-6) for size in sizes
    )


def test_what_is_typed_of_the_stock_goes_first() -> None:
    typed = Stock(form="block", size_a=60, size_b=30, piece_length=110, kerf=0, clean_up=1)
    stock = job_in_force(job(typed, Fit(length=100, width=50, height=22)), shop()).stock
    assert (stock.size_a, stock.size_b, stock.piece_length, stock.kerf) == (60, 30, 110, 0)


def test_inch_stock_of_a_metric_drawing_is_measured_in_inches() -> None:
    """By hand: 27 + 2.54 mm asks for 30 mm; 30 / 25.4 in; the length 60 / 25.4 in; the bar 120 in as the shop says."""
    stock = job_in_force(job(Stock(form="round bar", units="in"), Fit(length=60, width=27, height=27)), shop()).stock
    assert (stock.size_a, stock.piece_length) == (pytest.approx(30 / 25.4), pytest.approx(60 / 25.4))
    assert (stock.bar_length, stock.grip, stock.kerf) == (120, 4, 0.125)


def test_a_first_price_of_the_stock_by_weight() -> None:
    """By hand: 20 x 20 x 100 mm of 7.85 g/cm3 is 0.314 kg at 2 a pound, 2 / 0.45359237 a kg: 1.3845 a blank."""
    block = Stock(form="block", material="steel", size_a=20, size_b=20, piece_length=100)
    lathe = (Operation(number=10, work_center="Lathe", cycle_minutes=1),)
    priced = price_job(job(block, operations=lathe), shop())
    assert priced.missing == ()
    assert priced.lots[0].purchases[0].purchase == pytest.approx(10 * 0.314 * 2 / 0.45359237)
    assert price_job(job(block, operations=lathe), shop(materials=())).missing != ()


@pytest.mark.parametrize("stock", [
    Stock(form="block", material="Steel", price=3, price_basis="each"), Stock(form="casting", material="Steel"),
    Stock(form="block", material="Brass"), Stock(form="customer supplied", material="Steel"), Stock(material="Steel"),
])  # fmt: skip
def test_a_price_that_is_typed_or_not_sold_by_weight_takes_no_usual_one(stock: Stock) -> None:
    assert usual_stock_price(job(stock), shop()) is None


def test_a_chosen_price_of_a_supplier_takes_the_place_of_the_usual_one() -> None:
    block = Stock(form="block", material="Steel", units="in")
    assert usual_stock_price(job(block), shop()) == (2.0, "per lb")
    for chosen in (True, False):
        row = SupplierPrice(line="Stock", price=4, chosen=chosen)
        assert (usual_stock_price(job(block, supplier_prices=(row,)), shop()) is None) == chosen


def test_a_saw_and_a_bench_take_their_usual_cycle_where_nothing_else_says_one() -> None:
    """By hand: an operation with a cycle, with a cutting line, done outside or at another rate takes none."""
    saw = work_center("Saw", 12, 20, usual_cycle_minutes=1.5, usual_holding="Saw vise")
    hands = tuple(row.model_copy(update={"usual_cycle_minutes": 2.0}) for row in metric_shop().hand_rates)
    usual_shop = shop(work_centers=(saw,), hand_rates=hands)
    rows = (
        Operation(number=10, work_center="SAW"),
        Operation(number=20, work_center="Saw", cycle_minutes=0.4, work_holding="Vise"),
        Operation(number=30, work_center="Saw"),
        Operation(number=40, work_center="Saw", hand_rate=hands[0].name),
        Operation(number=50),
    )
    sent = Buyout(name="Anodize", kind="outside processing", operation=50)
    force = job_in_force(job(operations=rows, cutting=(Cutting(operation=30, length=9),), buyouts=(sent,)), usual_shop)
    assert [row.cycle_minutes for row in force.operations] == [1.5, 0.4, None, 2.0, None]
    assert [row.work_holding for row in force.operations] == ["Saw vise", "Vise", "Saw vise", None, None]


def test_a_feature_takes_its_usual_other_time_and_a_line_without_a_kind_none() -> None:
    usual_shop = shop(usual=USUAL.model_copy(update={"other_seconds": 12.0}))
    lines = (
        Cutting(operation=10, kind="facing"),
        Cutting(operation=10, kind="facing", other_seconds=0),
        Cutting(operation=10, length=9, feed_per_minute=9),
    )
    force = job_in_force(job(operations=(Operation(number=10, work_center="Lathe"),), cutting=lines), usual_shop)
    assert [line.other_seconds for line in force.cutting] == [12, 0, 0]
