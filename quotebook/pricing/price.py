"""The price of a job: each lot, the first piece alone, the next piece and the nonrecurring charge."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from quotebook.model import Job, Shop
from quotebook.pricing.built_rates import rates_in_force
from quotebook.pricing.lot import LotWork, lot_work
from quotebook.pricing.money import ceil_guarded, product, round_half_away, round_up_to_step, total
from quotebook.pricing.next_piece import next_piece
from quotebook.pricing.plan import JobPlan, plan_job
from quotebook.pricing.result import (
    EXTENDED_PRICE_FALLS,
    MARGIN_UNDER_FLOOR,
    UNIT_PRICE_RISES,
    JobPrice,
    LotPrice,
    Repeat,
)
from quotebook.pricing.usual import job_in_force

#: A margin this little under the floor is float noise, not a loss.
MARGIN_DECIMALS = 9


def price_job(job: Job, shop: Shop) -> JobPrice:
    """Return the price of a job at each of its quantities.

    Shape:  any valid job and shop; what is missing is listed, and what depends on it is None.
    Units:  hours, pieces, the shop's currency; shares are 0 to 1.
    Errors: none.
    """
    shop = rates_in_force(shop)
    job = job_in_force(job, shop)
    plan = plan_job(job, shop)
    single = lot_work(plan, 1)
    more = next_piece(plan, single)
    first_piece = _price_lot(plan, single, more.cost, spread=False)
    lots: list[LotPrice] = []
    for quantity in job.job.quantities:
        lot = _price_lot(plan, lot_work(plan, quantity), more.cost, spread=plan.terms.spread)
        lots.append(_compared(lot, lots[-1] if lots else None, shop.policy.margin_floor))
    return JobPrice(
        lots=tuple(lots),
        first_piece=first_piece,
        first_piece_total=first_piece.first_order_total,
        next_piece=more,
        nonrecurring=plan.nonrecurring.lines,
        nonrecurring_cost=plan.nonrecurring.cost,
        nonrecurring_price=plan.nonrecurring.price,
        nonrecurring_full=plan.nonrecurring.full,
        missing=plan.missing,
    )


@dataclass(frozen=True)
class _Sale:
    """A lot as the customer sees it."""

    unit_price: float | None
    goods: float | None
    supplement: float | None
    extended: float | None


def _sale(plan: JobPlan, per_piece: float | None, quantity: int) -> _Sale:
    """Round the price of a piece up to the price step, extend it, and lift it to the order minimum."""
    if per_piece is None:
        return _Sale(None, None, None, None)
    decimals = plan.shop.money.decimals
    unit_price = round_up_to_step(per_piece, plan.shop.policy.price_step)
    goods = round_half_away(unit_price * quantity, decimals)
    supplement = round_half_away(max(0.0, plan.terms.order_minimum - goods), decimals)
    return _Sale(unit_price, goods, supplement, goods + supplement)


@dataclass(frozen=True)
class _LotMoney:
    """What a lot comes to: price and cost before and after rounding, and what is charged beside it."""

    lot_price: float | None
    adjusted: float | None
    spread_per_piece: float | None
    sale: _Sale
    again: _Sale
    charge: float | None
    element_cost: float | None
    cost: float | None


def _lot_money(plan: JobPlan, work: LotWork, spread: bool) -> _LotMoney:
    """Price a lot; ``spread``: nonrecurring is spread over the pieces instead of charged on its own line."""
    known = not (plan.missing or work.missing)
    quantity, nonrecurring = work.quantity, plan.nonrecurring
    over = plan.job.job.spread_quantity or quantity
    lot_price = work.price.total() if known else None
    adjusted = product(lot_price, plan.terms.order_factor)
    recurring = None if adjusted is None else adjusted / quantity
    per_piece = _spread(nonrecurring.price, over) if spread else 0.0
    element_cost = work.cost.total() if known else None
    share = product(nonrecurring.cost, float(quantity)) if spread else 0.0
    return _LotMoney(
        lot_price=lot_price,
        adjusted=adjusted,
        spread_per_piece=per_piece,
        sale=_sale(plan, total([recurring, per_piece]), quantity),
        again=_sale(plan, recurring, quantity),
        charge=0.0 if spread else nonrecurring.full,
        element_cost=element_cost,
        cost=total([element_cost, _spread(share, over)]),
    )


def _price_lot(plan: JobPlan, work: LotWork, next_cost: float | None, spread: bool) -> LotPrice:
    money = _lot_money(plan, work, spread)
    sale, again, cost = money.sale, money.again, money.cost
    break_even, never = _break_even(money, work.quantity, next_cost, plan.nonrecurring.cost)
    return LotPrice(
        quantity=work.quantity,
        entering=work.entering,
        pieces_started=work.pieces_started,
        operations=work.operations,
        purchases=work.purchases,
        setup_hours=math.fsum(row.setup_hours for row in plan.operations),
        machine_hours=_hours(work, "machine_hours"),
        attended_hours=_hours(work, "attended_hours"),
        inspection_hours=work.inspection.hours,
        sample_size=work.inspection.sample_size,
        units_bought=work.purchases[0].units if work.purchases else None,
        sell_elements=work.sell,
        cost_elements=work.cost,
        price_elements=work.price,
        lot_price=money.lot_price,
        adjusted=money.adjusted,
        spread_per_piece=money.spread_per_piece,
        unit_price=sale.unit_price,
        goods=sale.goods,
        supplement=sale.supplement,
        extended_price=sale.extended,
        charge=money.charge,
        first_order_total=total([sale.extended, money.charge]),
        repeat=Repeat(again.unit_price, again.goods, again.supplement, again.extended),
        cost=cost,
        margin=_ratio(sale.extended, cost, sale.extended),
        markup=_ratio(sale.extended, cost, cost),
        break_even_quantity=break_even,
        never_breaks_even=never,
        warnings=(),
        missing=work.missing,
    )


def _spread(amount: float | None, over: int) -> float | None:
    return None if amount is None else amount / over


def _hours(work: LotWork, field: str) -> float | None:
    if work.pieces_started is None:
        return None
    return total(getattr(row, field) for row in work.operations)


def _ratio(extended: float | None, cost: float | None, base: float | None) -> float | None:
    """Return what is earned as a share of ``base``; None when unknown or when the base is 0."""
    if extended is None or cost is None or not base:
        return None
    return (extended - cost) / base


def _break_even(
    money: _LotMoney, quantity: int, next_cost: float | None, nonrecurring_cost: float | None
) -> tuple[int | None, bool]:
    """Return the pieces at which this unit price has paid what is spent once, and whether none ever does."""
    unit_price, element_cost, charge = money.sale.unit_price, money.element_cost, money.charge
    if unit_price is None or next_cost is None or element_cost is None or nonrecurring_cost is None or charge is None:
        return None, False
    if unit_price <= next_cost:
        return None, True
    fixed = element_cost - quantity * next_cost + nonrecurring_cost - charge
    return (1 if fixed <= 0 else max(1, ceil_guarded(fixed / (unit_price - next_cost)))), False


def _compared(lot: LotPrice, smaller: LotPrice | None, floor: float) -> LotPrice:
    """Return the lot with its warnings: against the next smaller quantity, and against the margin floor."""
    warnings: list[str] = []
    if smaller is not None and _exceeds(lot.unit_price, smaller.unit_price):
        warnings.append(UNIT_PRICE_RISES)
    if smaller is not None and _exceeds(smaller.extended_price, lot.extended_price):
        warnings.append(EXTENDED_PRICE_FALLS)
    if lot.margin is not None and round_half_away(lot.margin, MARGIN_DECIMALS) < floor:
        warnings.append(MARGIN_UNDER_FLOOR)
    return replace(lot, warnings=tuple(warnings))


def _exceeds(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and one > other
