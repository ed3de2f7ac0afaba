"""Actual figures beside their standards: quoted lot, standard for the good pieces made, and what was really spent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from quotebook.model import Job, Nonrecurring, Operation, Shop, name_key
from quotebook.pricing.built_rates import rates_in_force
from quotebook.pricing.buying import buyout_line, stock_line, stock_purchase
from quotebook.pricing.extras import wanted_extras
from quotebook.pricing.inspection import inspection_rate
from quotebook.pricing.lot import LotWork, lot_work, packing_amount
from quotebook.pricing.money import round_half_away
from quotebook.pricing.plan import JobPlan, plan_job
from quotebook.pricing.price import price_job
from quotebook.pricing.rates import rates_of
from quotebook.pricing.result import LotPrice, Rates
from quotebook.pricing.routing import operation_figures
from quotebook.pricing.variance import (
    efficiency_variance,
    labor_variance,
    purchase_price_variance,
    rate_variance,
    usage_variance,
)


@dataclass(frozen=True)
class Quoted:
    """The lot that was quoted: the largest quantity not above the good pieces made, else the first piece alone."""

    quantity: int
    revenue: float | None
    cost: float | None


@dataclass(frozen=True)
class Totals:
    """Revenue and cost of the pieces really made: at standard, or in fact (then with their value at sell rates)."""

    revenue: float
    cost: float
    sell_value: float = 0.0


@dataclass(frozen=True)
class ActualOperation:
    """One operation: hours allowed for the pieces run and hours taken, and what the difference cost (above 0: lost)."""

    number: int
    description: str
    place: str
    pieces_allowed: int
    pieces_run: int
    setup_allowed: float
    setup_taken: float
    run_allowed: float
    run_taken: float
    setup_variance: float
    run_variance: float
    scrap_variance: float
    rate_variance: float

    @property
    def ran_over(self) -> bool:
        """Tell whether it took longer than allowed."""
        return self.setup_taken + self.run_taken > self.setup_allowed + self.run_allowed + 1e-9


@dataclass
class Figures:
    """Everything that the bridge needs; ``steps``: kind, where, amount of profit."""

    quoted: Quoted
    good_pieces: int | None
    repeat_order: bool
    missing: tuple[str, ...]
    standard: Totals | None = None
    actual: Totals | None = None
    steps: list[tuple[str, str, float]] = field(default_factory=list)
    operations: tuple[ActualOperation, ...] = ()
    notes: tuple[str, ...] = ()


def figures_of(job: Job, shop: Shop, actual_rates: Shop | None) -> Figures:
    """Return the figures of a job; ``missing`` names every actual that is not filled in."""
    shop, good = rates_in_force(shop), job.actuals.good_pieces
    actual_rates = None if actual_rates is None else rates_in_force(actual_rates)
    price = price_job(job, shop)
    below = [lot for lot in price.lots if good is not None and lot.quantity <= good]
    lot = below[-1] if below else price.first_piece
    repeat = _is_repeat(job)
    once = 0.0 if repeat else price.nonrecurring_cost
    missing = [*price.all_missing]
    if lot.extended_price is None or once is None or lot.charge is None:
        return Figures(Quoted(lot.quantity, None, None), good, repeat, tuple(missing or ["The job has no price."]))
    quoted = _quoted(job, shop, lot, once, repeat)
    plan = plan_job(job, shop)
    work = lot_work(plan, good) if good else None
    missing += _missing(job, plan, work or lot_work(plan, lot.quantity), lot, repeat)
    figures = Figures(quoted, good, repeat, tuple(missing))
    if not missing and work is not None:
        _fill(figures, _Case(job, shop, plan, work, lot, once, repeat, actual_rates or shop))
    return figures


def _is_repeat(job: Job) -> bool:
    """A repeat order has no nonrecurring work: everything about it is filled in with 0."""
    told = [job.actuals.nonrecurring_invoiced]
    told += [row.actual_hours if row.hours else row.actual_purchase for row in job.nonrecurring]
    return bool(job.nonrecurring) and all(value == 0 for value in told)


def _quoted(job: Job, shop: Shop, lot: LotPrice, once: float, repeat: bool) -> Quoted:
    elements = lot.cost_elements.total()
    if repeat:
        return Quoted(lot.quantity, lot.repeat.extended_price, elements)
    spread = lot.charge == 0 and once > 0 and lot.spread_per_piece not in (None, 0.0)
    share = once * lot.quantity / (job.job.spread_quantity or lot.quantity) if spread else once
    return Quoted(lot.quantity, lot.first_order_total, None if elements is None else elements + share)


def _missing(job: Job, plan: JobPlan, work: LotWork, lot: LotPrice, repeat: bool) -> Iterator[str]:
    actual = job.actuals
    if not actual.good_pieces:
        yield "Good pieces are not filled in." if actual.good_pieces is None else "No good piece was made."
    if actual.invoiced is None:
        yield "What was invoiced for the pieces is not filled in."
    if lot.charge and actual.nonrecurring_invoiced is None:
        yield "What was invoiced for nonrecurring work is not filled in."
    if (work.inspection.hours or 0) > 0 and actual.inspection_hours is None:
        yield "The inspection hours are not filled in."
    if packing_amount(plan, work.quantity) > 0 and actual.packing_freight is None:
        yield "What packing and freight cost is not filled in."
    if _extras_allowed(job, work, repeat) > 0 and actual.extras_paid is None:
        yield "What gauges and extras cost is not filled in."
    if plan.stock.bought and job.stock.actual_cost is None:
        yield "What the stock cost is not filled in."
    for row, planned in zip(job.operations, plan.operations, strict=True):
        rates = planned.rates
        if rates is None or rates.machine_cost + rates.labor_cost == 0:
            continue
        if planned.setup_hours > 0 and row.actual_setup_hours is None:
            yield f"Operation {row.number}: the setup hours are not filled in."
        if (planned.minutes_per_piece or 0) > 0 and row.actual_run_hours is None:
            yield f"Operation {row.number}: the run hours are not filled in."
    yield from (f"{row.name}: what it cost is not filled in." for row in job.buyouts if row.actual_cost is None)
    for index, one in enumerate(job.nonrecurring, start=1):
        if (one.hours > 0 and one.actual_hours is None) or (one.purchase > 0 and one.actual_purchase is None):
            yield f"Nonrecurring line {index}: its actual figures are not filled in."


def _extras_allowed(job: Job, work: LotWork, repeat: bool) -> float:
    """Return what extras and gauges of a lot may cost; what is paid once belongs to the first order."""
    once = 0.0 if repeat else sum(row.once for row in wanted_extras(job))
    return (work.cost.extras or 0.0) + job.inspection.gauge_cost + once


@dataclass(frozen=True)
class _Case:
    job: Job
    shop: Shop
    plan: JobPlan
    work: LotWork
    lot: LotPrice
    once: float
    repeat: bool
    rates: Shop


def _fill(figures: Figures, case: _Case) -> None:
    """Fill in standard, actual and the steps between them. Every actual that is needed is there."""
    job, work = case.job, case.work
    standard = Totals(_standard_revenue(case), (work.cost.total() or 0.0) + case.once)
    revenue = (job.actuals.invoiced or 0.0) + (job.actuals.nonrecurring_invoiced or 0.0)
    quoted_revenue, quoted_cost = figures.quoted.revenue or 0.0, figures.quoted.cost or 0.0
    flexed = (standard.revenue - quoted_revenue) - (standard.cost - quoted_cost)
    steps = figures.steps
    steps.append(("quantity", f"{work.quantity} good pieces, {figures.quoted.quantity} quoted", flexed))
    steps.append(("price", "invoiced against the quoted unit price", revenue - standard.revenue))
    notes: list[str] = []
    operations = tuple(_operation(row, index, case, notes) for index, row in enumerate(job.operations))
    for one in operations:
        where = f"operation {one.number} {one.description}".rstrip()
        steps.append(("scrap", where, -one.scrap_variance))
        steps.append(("time", f"{where}, setup", -one.setup_variance))
        steps.append(("time", f"{where}, run", -one.run_variance))
        steps.append(("rate", where, -one.rate_variance))
    steps.extend(_stock_steps(case))
    steps.extend(_other_steps(case))
    figures.standard, figures.operations = standard, operations
    figures.actual = Totals(revenue, _actual_cost(case), _sell_value(case))
    figures.notes = tuple(notes)


def _standard_revenue(case: _Case) -> float:
    """Return what the good pieces bring at the quoted lot's unit price, order minimum and charge included."""
    decimals = case.shop.money.decimals
    unit = (case.lot.repeat.unit_price if case.repeat else case.lot.unit_price) or 0.0
    goods = round_half_away(unit * case.work.quantity, decimals)
    lifted = goods + round_half_away(max(0.0, case.plan.terms.order_minimum - goods), decimals)
    return lifted + (0.0 if case.repeat else case.lot.charge or 0.0)


def _operation(row: Operation, index: int, case: _Case, notes: list[str]) -> ActualOperation:
    planned, figures = case.plan.operations[index], case.work.operations[index]
    rates, now = planned.rates or Rates(0, 0, 0, 0), rates_of(row, case.rates)
    now = now or planned.rates or Rates(0, 0, 0, 0)
    allowed, run = figures.entering, row.actual_pieces
    if run is None:
        run = allowed
        notes.append(f"Operation {row.number}: pieces run are not filled in, so scrap there shows as time.")
    attendance = planned.attendance_share
    hours_standard = figures.machine_hours or 0.0
    hours_run = (
        hours_standard if run == allowed else operation_figures(planned, run, case.job.learning).machine_hours or 0.0
    )
    setup_rate, run_rate = rates.machine_cost + rates.labor_cost, rates.machine_cost + attendance * rates.labor_cost
    setup_now, run_now = now.machine_cost + now.labor_cost, now.machine_cost + attendance * now.labor_cost
    setup_taken, run_taken = row.actual_setup_hours or 0.0, row.actual_run_hours or 0.0
    setup_total = labor_variance(setup_taken * setup_now, planned.setup_hours * setup_rate)
    setup_time = efficiency_variance(setup_taken, planned.setup_hours, setup_rate)
    return ActualOperation(
        number=row.number,
        description=row.description,
        place=row.hand_rate or row.work_center or "",
        pieces_allowed=allowed,
        pieces_run=run,
        setup_allowed=planned.setup_hours,
        setup_taken=setup_taken,
        run_allowed=hours_run,
        run_taken=run_taken,
        setup_variance=setup_time,
        run_variance=efficiency_variance(run_taken, hours_run, run_rate),
        scrap_variance=usage_variance(hours_run, hours_standard, run_rate),
        rate_variance=(setup_total - setup_time) + rate_variance(run_now, run_rate, run_taken),
    )


def _stock_steps(case: _Case) -> Iterator[tuple[str, str, float]]:
    """Yield the stock's usage (more pieces started than allowed) and its price, both against the quoted price."""
    if not case.plan.stock.bought:
        return
    started = case.work.pieces_started or 0
    really = case.job.actuals.pieces_started
    lost: list[str] = []
    allowed = case.work.purchases[0].purchase or 0.0
    used = allowed
    if really is not None and really != started:
        used = stock_purchase(case.job, case.shop, case.plan.stock, really, lost).purchase or allowed
    yield "scrap", "stock for the pieces started", -(used - allowed)
    yield "purchase", "stock", -purchase_price_variance(case.job.stock.actual_cost or 0.0, used, 1)


def _other_steps(case: _Case) -> Iterator[tuple[str, str, float]]:
    """Yield buyouts, inspection, packing and nonrecurring."""
    job, work, actual = case.job, case.work, case.job.actuals
    for row, bought in zip(job.buyouts, work.purchases[1:], strict=True):
        yield "purchase", row.name, -((row.actual_cost or 0.0) - (bought.purchase or 0.0))
    rate, now = inspection_rate(job, case.shop), inspection_rate(job, case.rates)
    if rate is not None:
        taken = actual.inspection_hours or 0.0
        yield "time", "inspection", -efficiency_variance(taken, work.inspection.hours or 0.0, rate.cost_rate)
        yield "rate", "inspection", -rate_variance((now or rate).cost_rate, rate.cost_rate, taken)
    packing = packing_amount(case.plan, work.quantity)
    yield "purchase", "packing and freight", -((actual.packing_freight or 0.0) - packing)
    extras = _extras_allowed(job, work, case.repeat)
    if extras or actual.extras_paid:
        yield "purchase", "gauges and extras", -((actual.extras_paid or 0.0) - extras)
    for one in () if case.repeat else job.nonrecurring:
        name = f"nonrecurring: {one.description}".rstrip(": ")
        standard, present = _hand_cost(one, case.shop), _hand_cost(one, case.rates)
        hours = one.actual_hours or 0.0
        yield "time", name, -efficiency_variance(hours, one.hours, standard)
        yield "rate", name, -rate_variance(present or standard, standard, hours)
        yield "purchase", name, -((one.actual_purchase or 0.0) - one.purchase)


def _actual_cost(case: _Case) -> float:
    """Return what was really spent, added up directly and not from the variances, so that each checks the other."""
    job, actual = case.job, case.job.actuals
    cost = (actual.packing_freight or 0.0) + (actual.extras_paid or 0.0)
    cost += job.stock.actual_cost or 0.0 if case.plan.stock.bought else 0.0
    for row, planned in zip(job.operations, case.plan.operations, strict=True):
        rates = rates_of(row, case.rates) or planned.rates or Rates(0, 0, 0, 0)
        cost += (row.actual_setup_hours or 0.0) * (rates.machine_cost + rates.labor_cost)
        cost += (row.actual_run_hours or 0.0) * (rates.machine_cost + planned.attendance_share * rates.labor_cost)
    cost += sum(buyout.actual_cost or 0.0 for buyout in job.buyouts)
    rate = inspection_rate(job, case.rates) or inspection_rate(job, case.shop)
    cost += (actual.inspection_hours or 0.0) * (rate.cost_rate if rate else 0.0)
    for one in () if case.repeat else job.nonrecurring:
        standard = _hand_cost(one, case.shop)
        cost += (one.actual_hours or 0.0) * (_hand_cost(one, case.rates) or standard) + (one.actual_purchase or 0.0)
    return cost


def _sell_value(case: _Case) -> float:
    """Return what hours and purchases as they were come to at sell rates and markups."""
    job, actual = case.job, case.job.actuals
    value = (actual.packing_freight or 0.0) + (actual.extras_paid or 0.0)
    for row, planned in zip(job.operations, case.plan.operations, strict=True):
        rates = planned.rates or Rates(0, 0, 0, 0)
        value += (row.actual_setup_hours or 0.0) * (rates.machine_sell + rates.labor_sell)
        value += (row.actual_run_hours or 0.0) * (rates.machine_sell + planned.attendance_share * rates.labor_sell)
    if case.plan.stock.bought:
        value += (job.stock.actual_cost or 0.0) * (1 + stock_line(job, case.shop).markup_share)
    for buyout in job.buyouts:
        value += (buyout.actual_cost or 0.0) * (1 + buyout_line(buyout, case.shop).markup_share)
    rate = inspection_rate(job, case.shop)
    value += (actual.inspection_hours or 0.0) * (rate.sell_rate if rate else 0.0)
    for one in () if case.repeat else job.nonrecurring:
        value += (one.actual_hours or 0.0) * _hand_sell(one, case.shop)
        value += (one.actual_purchase or 0.0) * (1 + case.shop.policy.nonrecurring_markup)
    return value


def _hand_cost(row: Nonrecurring, shop: Shop) -> float:
    return _hand(row, shop.hand_rates, "cost_rate")


def _hand_sell(row: Nonrecurring, shop: Shop) -> float:
    return _hand(row, shop.hand_rates, "sell_rate")


def _hand(row: Nonrecurring, rates: Sequence[object], side: str) -> float:
    key = name_key(row.rate or "")
    found = next((rate for rate in rates if name_key(getattr(rate, "name", "")) == key), None)
    return 0.0 if found is None else float(getattr(found, side))
