"""Unknown is None and has a reason; it is never zero. Source of all expectations: the specification's missing list."""

from __future__ import annotations

from typing import Any

import pytest

from quotebook.model import (
    Buyout,
    Cutting,
    Inspection,
    Job,
    JobHeader,
    Nonrecurring,
    Operation,
    Stock,
    SupplierPrice,
)
from quotebook.pricing import JobPrice, price_job
from tests.samples import golden_job, golden_shop, metric_job, metric_shop

MILL = Operation(number=10, work_center="Lathe", cycle_minutes=5.0, setup_base_hours=1.0)
NO_STOCK = Stock(form="no stock")


def priced(**changes: Any) -> JobPrice:
    parts: dict[str, Any] = {
        "job": JobHeader(units="in", quantities=(5,)),
        "stock": NO_STOCK,
        "operations": (MILL,),
    }
    return price_job(Job(**{**parts, **changes}), golden_shop())


def test_the_plain_job_lacks_nothing() -> None:
    price = priced()
    assert price.all_missing == ()
    assert price.lots[0].lot_price == pytest.approx((1 + 5 * 5 / 60) * 95 / 0.7)  # by hand, at 30 % margin


GAPS: list[tuple[str, dict[str, Any], str]] = [
    ("quantity", {"job": JobHeader(units="in")}, "No quantity"),
    ("work", {"operations": ()}, "neither an operation nor a buyout"),
    ("rate", {"operations": (Operation(number=10, cycle_minutes=5.0),)}, "Operation 10 names neither"),
    ("rate, though nothing takes time", {"operations": (Operation(number=10, cycle_minutes=0.0),)}, "names neither"),
    ("unknown rate", {"operations": (Operation(number=10, work_center="Saw", cycle_minutes=5.0),)}, "does not have"),
    ("cycle", {"operations": (Operation(number=10, work_center="Lathe"),)}, "Operation 10 has neither cycle"),
    (
        "cutting line",
        {
            "operations": (Operation(number=10, work_center="Lathe"),),
            "cutting": (Cutting(operation=10, length=5.0),),
        },
        "cutting line of operation 10",
    ),
    ("stock form", {"stock": Stock()}, "form of the stock is not said"),
    ("stock price", {"stock": Stock(form="plate", price_basis="each")}, "stock has no price"),
    ("stock price basis", {"stock": Stock(form="plate", price=5.0)}, "without saying what it is per"),
    ("bar sizes", {"stock": Stock(form="round bar", price_basis="each", price=5.0)}, "piece length and a bar length"),
    (
        "bar too short",
        {"stock": Stock(form="round bar", price_basis="each", price=5.0, piece_length=10.0, bar_length=9.0)},
        "No piece fits on a bar: 9 long",
    ),
    (
        "bar all grip",
        {"stock": Stock(form="round bar", price_basis="each", price=5.0, piece_length=1.0, bar_length=9.0, grip=20.0)},
        "No piece fits on a bar",
    ),
    (
        "weight",
        {"stock": Stock(form="plate", price=5.0, price_basis="per lb", size_a=2.0, piece_length=2.0)},
        "priced per lb",
    ),
    ("casting weight", {"stock": Stock(form="casting", price=5.0, price_basis="per lb")}, "priced per lb"),
    ("casting length", {"stock": Stock(form="casting", price=5.0, price_basis="per ft")}, "priced per ft"),
    ("buyout price", {"buyouts": (Buyout(name="Plating", kind="outside processing"),)}, '"Plating" has no price'),
    ("inspection rate", {"inspection": Inspection(report_hours=1.0)}, "Inspection has hours but no rate"),
    ("inspection rate per piece", {"inspection": Inspection(minutes_per_piece=1.0)}, "Inspection has hours"),
    ("fixed sample", {"inspection": Inspection(plan="fixed number", rate="Inspector")}, "fixed number"),
    ("nonrecurring rate", {"nonrecurring": (Nonrecurring(hours=1.0),)}, "Nonrecurring line 1 has hours"),
    (
        "yield",
        {"operations": (Operation(number=10, work_center="Lathe", cycle_minutes=1.0, scrap_share=1 - 1e-12),)},
        "scraps practically every piece",
    ),
]


@pytest.mark.parametrize(("changes", "reason"), [row[1:] for row in GAPS], ids=[row[0] for row in GAPS])
def test_whatever_is_missing_is_named_and_leaves_no_price(changes: dict[str, Any], reason: str) -> None:
    price = priced(**changes)
    assert len(price.missing) == 1
    assert reason in price.missing[0]
    for lot in (*price.lots, price.first_piece):
        after = (lot.lot_price, lot.adjusted, lot.unit_price, lot.goods, lot.supplement, lot.extended_price)
        rest = (lot.first_order_total, lot.repeat.extended_price, lot.cost, lot.margin, lot.markup)
        assert after == (None,) * 6
        assert rest == (None,) * 5
        assert lot.break_even_quantity is None
        assert not lot.never_breaks_even
    assert (price.first_piece_total, price.next_piece_price, price.next_piece_cost) == (None, None, None)


def test_a_missing_price_is_unknown_and_the_other_elements_are_still_given() -> None:
    lot = priced(buyouts=(Buyout(name="Plating", kind="outside processing"),)).lots[0]
    assert lot.price_elements.outside is None
    assert lot.cost_elements.outside is None
    assert lot.cost_elements.setup == 95.0
    assert lot.price_elements.hardware == 0.0
    assert lot.price_elements.total() is None


def test_a_missing_cycle_is_unknown_and_the_setup_is_still_given() -> None:
    lot = priced(operations=(Operation(number=10, work_center="Lathe", setup_base_hours=1.0),)).lots[0]
    assert (lot.machine_hours, lot.attended_hours, lot.price_elements.machine) == (None, None, None)
    assert (lot.setup_hours, lot.cost_elements.setup) == (1.0, 95.0)


def test_zero_is_a_value_and_not_missing() -> None:
    free = Buyout(name="Plating", kind="outside processing", price=0.0)
    price = priced(operations=(MILL.model_copy(update={"cycle_minutes": 0.0}),), buyouts=(free,))
    assert price.all_missing == ()
    assert price.lots[0].price_elements.outside == 0.0


def test_an_operation_sent_out_needs_neither_rate_nor_cycle() -> None:
    sent = Operation(number=20)
    plating = Buyout(name="Plating", kind="outside processing", operation=20, price=1.0)
    assert priced(operations=(MILL, sent), buyouts=(plating,)).all_missing == ()
    # With hours of its own it needs a rate.
    loaded = sent.model_copy(update={"load_minutes": 1.0})
    assert "Operation 20" in priced(operations=(MILL, loaded), buyouts=(plating,)).missing[0]
    # Hardware that names the operation changes nothing.
    pins = plating.model_copy(update={"kind": "hardware"})
    assert len(priced(operations=(MILL, sent), buyouts=(pins,)).missing) == 2


def test_a_price_that_begins_at_a_larger_quantity_leaves_the_smaller_lots_unknown() -> None:
    price = priced(
        job=JobHeader(units="in", quantities=(5, 50)),
        buyouts=(Buyout(name="Plating", kind="outside processing"),),
        supplier_prices=(SupplierPrice(line="Plating", from_quantity=10, price=2.0, chosen=True),),
    )
    assert price.missing == ()
    small, large = price.lots
    assert small.unit_price is None
    assert '"Plating" has no price for 5 units' in small.missing[0]
    assert large.unit_price is not None
    assert price.first_piece.unit_price is None
    assert price.next_piece_price is None
    assert large.break_even_quantity is None
    assert large.warnings == ()


def test_a_price_in_foreign_money_is_an_unknown_price() -> None:
    # Such a job is refused against the shop; priced all the same it must not pass for the shop's money.
    price = priced(
        buyouts=(Buyout(name="Plating", kind="outside processing", price=5.0),),
        supplier_prices=(SupplierPrice(line="Plating", price=2.0, currency="JPY", chosen=True),),
    )
    assert price.lots[0].price_elements.outside is None
    assert price.lots[0].lot_price is None


def test_a_margin_of_everything_has_no_price() -> None:
    shop = metric_shop()
    greedy = shop.model_copy(update={"policy": shop.policy.model_copy(update={"profit_share": 1.5})})
    head = metric_job().job.model_copy(update={"pricing_basis": "cost plus"})
    price = price_job(metric_job().model_copy(update={"job": head}), greedy)
    assert "margin of 100 %" in price.missing[0]


def test_every_gap_is_told_at_once() -> None:
    price = price_job(
        Job(job=JobHeader(units="in"), operations=(Operation(number=10),), nonrecurring=(Nonrecurring(hours=1.0),)),
        golden_shop(),
    )
    assert len(price.all_missing) == 5


def test_a_unit_price_below_the_next_pieces_cost_never_breaks_even() -> None:
    # By hand: a discount of 90 % leaves less than the run costs.
    lot = price_job(golden_job(discount_share=0.9), golden_shop()).lot(100)
    assert lot.break_even_quantity is None
    assert lot.never_breaks_even
    assert lot.warnings[-1] == "margin under floor"
