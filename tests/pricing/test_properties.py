"""What holds for every job. Source of each property: what the words mean (by hand), stated beside it."""

from __future__ import annotations

import itertools
import math
import random
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

from quotebook.model import Job, Operation, Shop, SupplierPrice
from quotebook.pricing import JobPrice, LotPrice, fit_check, price_job
from tests.strategies import complete_jobs, jobs, shops, shops_with

#: A whole random shop is large: making it smaller after a failure takes minutes and seldom tells more.
few = settings(
    max_examples=25,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def with_job(job: Job, /, **changes: Any) -> Job:
    """The job with parts replaced and checked again."""
    return Job.model_validate({**{name: getattr(job, name) for name in Job.model_fields}, **changes})


def with_header(job: Job, **changes: Any) -> Job:
    return with_job(job, job=job.job.model_copy(update=changes))


def with_policy(shop: Shop, **changes: Any) -> Shop:
    return shop.model_copy(update={"policy": shop.policy.model_copy(update=changes)})


def known(value: float | None) -> float:
    assert value is not None
    return value


def lots_of(price: JobPrice) -> list[LotPrice]:
    assert price.all_missing == ()
    return [*price.lots, price.first_piece]


@few
@given(shops_with())
def test_a_job_that_lacks_nothing_has_every_price_and_every_price_is_finite(both: tuple[Shop, Job]) -> None:
    shop, job = both
    price = price_job(job, shop)
    for lot in lots_of(price):
        figures = (lot.lot_price, lot.unit_price, lot.extended_price, lot.first_order_total, lot.cost)
        assert all(math.isfinite(known(figure)) and known(figure) >= 0 for figure in figures)
    assert known(price.next_piece_price) >= 0
    assert known(price.first_piece_total) >= 0


@few
@given(shops_with(jobs))
def test_a_lot_has_a_price_exactly_when_nothing_is_missing(both: tuple[Shop, Job]) -> None:
    shop, job = both
    price = price_job(job, shop)
    for lot in (*price.lots, price.first_piece):
        complete = not price.missing and not lot.missing
        after = (lot.lot_price, lot.unit_price, lot.extended_price, lot.first_order_total, lot.cost)
        assert [figure is not None for figure in after] == [complete] * len(after)
        # An element that is unknown always has a reason.
        assert lot.price_elements.total() is not None or not complete
    assert len(set(price.all_missing)) == len(price.all_missing)


@few
@given(shops_with())
def test_the_elements_add_up_and_so_does_what_the_customer_sees(both: tuple[Shop, Job]) -> None:
    shop, job = both
    for lot in lots_of(price_job(job, shop)):
        assert known(lot.lot_price) == pytest.approx(sum(known(x) for _, x in lot.price_elements.items()), rel=1e-12)
        assert known(lot.goods) + known(lot.supplement) == known(lot.extended_price)
        assert known(lot.goods) == pytest.approx(
            known(lot.unit_price) * lot.quantity, abs=0.501 * 10**-shop.money.decimals
        )
        assert known(lot.first_order_total) == known(lot.extended_price) + known(lot.charge)
        minimum = shop.policy.order_minimum if job.job.order_minimum is None else job.job.order_minimum
        assert known(lot.extended_price) >= minimum - 0.501 * 10**-shop.money.decimals
        by_operation = sum(known(row.machine_hours) for row in lot.operations)
        assert known(lot.machine_hours) == pytest.approx(by_operation, rel=1e-12)


@few
@given(shops_with())
def test_the_rounded_unit_price_never_lies_below_the_exact_one_nor_a_step_above(both: tuple[Shop, Job]) -> None:
    shop, job = both
    for lot in lots_of(price_job(job, shop)):
        exact = known(lot.adjusted) / lot.quantity + known(lot.spread_per_piece)
        noise = 1e-6 * max(1.0, shop.policy.price_step) + 1e-9 * exact
        assert exact - noise <= known(lot.unit_price) < exact + shop.policy.price_step + noise


@few
@given(shops_with())
def test_nonrecurring_does_not_vary_with_quantity_and_a_repeat_order_is_the_first_without_it(
    both: tuple[Shop, Job],
) -> None:
    shop, job = both
    price = price_job(with_header(job, nonrecurring_charging="own line"), shop)
    assert {lot.charge for lot in price.lots} == {price.nonrecurring_full}
    for lot in lots_of(price):
        assert lot.spread_per_piece == 0.0
        assert known(lot.repeat.extended_price) == pytest.approx(known(lot.first_order_total) - known(lot.charge))
        assert lot.repeat.unit_price == lot.unit_price


@few
@given(shops_with())
def test_spread_nonrecurring_comes_back_whole_over_the_lots_own_quantity(both: tuple[Shop, Job]) -> None:
    shop, job = both
    price = price_job(with_header(job, nonrecurring_charging="spread", spread_quantity=None), shop)
    for lot in price.lots:
        assert lot.charge == 0.0
        assert known(lot.spread_per_piece) * lot.quantity == pytest.approx(known(price.nonrecurring_price))
        elements = sum(known(x) for _, x in lot.cost_elements.items())
        assert known(lot.cost) == pytest.approx(elements + known(price.nonrecurring_cost))
        assert known(lot.repeat.unit_price) <= known(lot.unit_price)


@few
@given(shops_with(), st.data())
def test_more_scrap_never_costs_less(both: tuple[Shop, Job], data: st.DataObject) -> None:
    # Without supplier price breaks: with them, buying more can be cheaper.
    shop, job = both
    job = with_job(job, supplier_prices=())
    index = data.draw(st.integers(0, len(job.operations) - 1))
    more = data.draw(st.floats(job.operations[index].scrap_share, 0.9))
    rows = list(job.operations)
    rows[index] = rows[index].model_copy(update={"scrap_share": more})
    worse = price_job(with_job(job, operations=tuple(rows)), shop)
    for lot, worse_lot in zip(price_job(job, shop).lots, worse.lots, strict=True):
        assert known(worse_lot.pieces_started) >= known(lot.pieces_started)
        assert known(worse_lot.cost) >= known(lot.cost)
        assert known(worse_lot.unit_price) >= known(lot.unit_price)


def _smooth(shop: Shop, job: Job, data: st.DataObject) -> tuple[Shop, Job]:
    """Take away every lump: whatever is bought or done in whole lots of more than one piece.

    No purchase step, no packs, no bars of several pieces (unless used length is charged), no scrap, no
    table of samples, no supplier price breaks. Then everything is a fixed amount and an amount a piece.
    """
    stock = job.stock
    bar = {"bar_charging": "used length"} if data.draw(st.booleans()) else {}
    if not bar or stock.form in ("plate", "block", "casting"):
        stock = stock.model_copy(update={"pieces_per_unit": 1})
    whole_packs = {"pack_size": 1.0, "quantity_per_piece": 2.0, "attrition_share": 0.0}
    buyouts = tuple(row.model_copy(update=whole_packs) for row in job.buyouts)
    inspection = job.inspection
    if inspection.plan == "sampling table":
        inspection = inspection.model_copy(update={"plan": "every piece"})
    rows = tuple(row.model_copy(update={"scrap_share": 0.0}) for row in job.operations)
    parts = {"stock": stock, "buyouts": buyouts, "inspection": inspection, "operations": rows, "supplier_prices": ()}
    smooth = with_job(with_header(job, **bar), **parts)
    return with_policy(shop, purchase_step=0.0), smooth


@few
@given(shops_with(), st.data())
def test_without_lumps_the_unit_price_never_rises_and_the_goods_never_cost_less(
    both: tuple[Shop, Job], data: st.DataObject
) -> None:
    shop, job = _smooth(*both, data)
    lots = price_job(job, shop).lots
    for smaller, larger in itertools.pairwise(lots):
        # Exact prices may differ by float noise; rounded up to the step they may then differ by one step.
        exact = known(smaller.adjusted) / smaller.quantity + known(smaller.spread_per_piece)
        exact_larger = known(larger.adjusted) / larger.quantity + known(larger.spread_per_piece)
        assert exact_larger <= exact * (1 + 1e-12)
        assert known(larger.adjusted) >= known(smaller.adjusted) * (1 - 1e-12)
        assert known(larger.unit_price) <= known(smaller.unit_price)
        assert "unit price rises" not in larger.warnings


@few
@given(shops_with(), st.data())
def test_raising_any_rate_never_lowers_a_price(both: tuple[Shop, Job], data: st.DataObject) -> None:
    shop, job = both
    table = data.draw(st.sampled_from(["hand_rates", "work_centers"]))
    rows = list(getattr(shop, table))
    index = data.draw(st.integers(0, len(rows) - 1))
    field = data.draw(st.sampled_from(["cost_rate", "sell_rate"]))
    raised = getattr(rows[index], field) + data.draw(st.floats(0, 100))
    rows[index] = rows[index].model_copy(update={field: raised})
    before, after = price_job(job, shop), price_job(job, shop.model_copy(update={table: tuple(rows)}))
    for old, new in zip(lots_of(before), lots_of(after), strict=True):
        assert known(new.unit_price) >= known(old.unit_price)
        assert known(new.extended_price) >= known(old.extended_price)
        assert known(new.cost) >= known(old.cost)
    assert known(after.nonrecurring_full) >= known(before.nonrecurring_full)
    assert known(after.next_piece_price) >= known(before.next_piece_price)


@few
@given(shops_with(jobs), st.integers())
def test_the_order_of_independent_lines_does_not_matter(both: tuple[Shop, Job], seed: int) -> None:
    shop, job = both
    shuffle = random.Random(seed)

    def mixed(rows: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(shuffle.sample(rows, len(rows)))

    names = ("buyouts", "supplier_prices", "cutting", "nonrecurring")
    other = with_job(job, **{name: mixed(getattr(job, name)) for name in names})
    lists = ("hand_rates", "work_centers", "materials")
    other_shop = shop.model_copy(update={name: mixed(getattr(shop, name)) for name in lists})
    before, after = price_job(job, shop), price_job(other, other_shop)
    assert [_amounts(lot) for lot in after.lots] == [_amounts(lot) for lot in before.lots]
    assert after.first_piece_total == before.first_piece_total
    assert after.next_piece_price == before.next_piece_price
    assert len(after.all_missing) == len(before.all_missing)


def _amounts(lot: LotPrice) -> tuple[object, ...]:
    return (lot.price_elements, lot.cost_elements, lot.unit_price, lot.first_order_total, lot.cost, lot.warnings)


@few
@given(shops_with(jobs))
def test_the_units_of_a_work_center_change_neither_price_nor_fit(both: tuple[Shop, Job]) -> None:
    shop, job = both
    # Power and rapid rates of other units differ in their last digits; they are compared in tests of their own.
    bare = {"rapid_rate": None, "spindle_power": None, "spindle_torque": None, "table_load": None}
    shop = shop.model_copy(update={"work_centers": tuple(row.model_copy(update=bare) for row in shop.work_centers)})
    lengths = ("travel_x", "travel_y", "travel_z", "holding_tolerance")
    converted = []
    for row in shop.work_centers:
        factor = 25.4 if row.units == "in" else 1 / 25.4
        changes: dict[str, Any] = {name: getattr(row, name) * factor for name in lengths}
        converted.append(row.model_copy(update={**changes, "units": "mm" if row.units == "in" else "in"}))
    other = shop.model_copy(update={"work_centers": tuple(converted)})
    assert price_job(job, other) == price_job(job, shop)
    assert [row.state for row in fit_check(job, other).criteria] == [row.state for row in fit_check(job, shop).criteria]
    assert fit_check(job, other).decision == fit_check(job, shop).decision


@few
@given(shops_with())
def test_an_operation_more_never_lowers_the_price(both: tuple[Shop, Job]) -> None:
    shop, job = both
    assume(job.operations)
    extra = Operation(
        number=job.operations[-1].number + 1,
        work_center=shop.work_centers[0].name,
        setup_base_hours=0.5,
        cycle_minutes=1.0,
    )
    more = with_job(job, operations=(*job.operations, extra))
    for lot, longer in zip(price_job(job, shop).lots, price_job(more, shop).lots, strict=True):
        assert known(longer.unit_price) >= known(lot.unit_price)


@few
@given(shops_with(), st.integers(0, 100))
def test_prices_that_are_not_chosen_change_nothing(both: tuple[Shop, Job], start: int) -> None:
    shop, job = both
    row = SupplierPrice(line="Stock", from_quantity=start, price=0.01)
    assert price_job(with_job(job, supplier_prices=(*job.supplier_prices, row)), shop) == price_job(job, shop)


@few
@given(shops_with())
def test_the_break_even_quantity_pays_what_is_spent_once_and_one_piece_fewer_does_not(both: tuple[Shop, Job]) -> None:
    shop, job = both
    price = price_job(job, shop)
    for lot in price.lots:
        if lot.break_even_quantity is None:
            assert lot.never_breaks_even
            assert known(lot.unit_price) <= known(price.next_piece_cost)
            continue
        element_cost = sum(known(x) for _, x in lot.cost_elements.items())
        each = known(lot.unit_price) - known(price.next_piece_cost)
        once = element_cost - lot.quantity * known(price.next_piece_cost)
        once += known(price.nonrecurring_cost) - known(lot.charge)
        noise = 2e-6 * each + 1e-9 * (abs(once) + element_cost)
        assert lot.break_even_quantity * each >= once - noise
        assert lot.break_even_quantity == 1 or (lot.break_even_quantity - 1) * each <= once + noise


@few
@given(shops(), st.data())
def test_a_job_in_inches_and_the_same_job_in_millimeters_cost_the_same(shop: Shop, data: st.DataObject) -> None:
    # Priced by the piece, so that only geometry decides; 1 in is 25.4 mm by definition.
    job = data.draw(complete_jobs(shop))
    stock = job.stock.model_copy(update={"price_basis": "each", "units": "in"})
    scaled = {
        name: None if getattr(stock, name) is None else getattr(stock, name) * 25.4
        for name in (
            "size_a",
            "size_b",
            "wall",
            "piece_length",
            "facing",
            "kerf",
            "bar_length",
            "grip",
            "sheet_length",
            "sheet_width",
            "sheet_edge",
        )
    }
    weight = None if stock.unit_weight is None else stock.unit_weight * 0.45359237
    metric = stock.model_copy(update={**scaled, "units": "mm", "unit_weight": weight})
    inch_price, metric_price = (price_job(with_job(job, stock=one), shop) for one in (stock, metric))
    units = [[lot.purchases[0].step_units for lot in price.lots] for price in (inch_price, metric_price)]
    assert units[0] == units[1]
    for one, other in zip(inch_price.lots, metric_price.lots, strict=True):
        assert known(other.cost) == pytest.approx(known(one.cost), rel=1e-9)
