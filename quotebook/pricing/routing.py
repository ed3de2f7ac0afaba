"""The routing: pieces entering each operation, setup and run hours, and the rates on the hours.

Setup hours are spent once per lot, whatever its size; run hours on every piece that enters.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quotebook.machining.learning import learned_pieces
from quotebook.model import Job, Learning, Operation, Shop
from quotebook.pricing.cutting import cycle_of_lines
from quotebook.pricing.money import ceil_guarded, product, total
from quotebook.pricing.rates import rates_of
from quotebook.pricing.result import OperationFigures, Rates
from quotebook.pricing.setup import setup_hours

#: A routing that lets less than this share of good pieces through has no lot that yields one.
SMALLEST_YIELD = 1e-9

NO_RATES = Rates(0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class OperationPlan:
    """One operation as it will be made, whatever the lot: minutes per piece, hours per setup, rates."""

    number: int
    setup_hours: float
    cycle_minutes: float | None
    minutes_per_piece: float | None
    attendance_share: float
    scrap_share: float
    rates: Rates | None
    by_hand: bool


def yields_to_end(scrap_shares: Sequence[float]) -> tuple[float, ...]:
    """Return, for each operation, the share of pieces entering it that end up good."""
    yields: list[float] = []
    remaining = 1.0
    for scrap in reversed(scrap_shares):
        remaining *= 1 - scrap
        yields.append(remaining)
    return tuple(reversed(yields))


def entering_pieces(quantity: int, scrap_shares: Sequence[float], spare: int, all_started: bool) -> tuple[int, ...]:
    """Return the pieces entering each operation for ``quantity`` good ones.

    Never fewer than quantity and spare pieces; with ``all_started`` each operation is charged with
    the pieces started. Needs yields above ``SMALLEST_YIELD``.
    """
    entering = tuple(max(ceil_guarded(quantity / y), quantity + spare) for y in yields_to_end(scrap_shares))
    return entering[:1] * len(entering) if all_started else entering


def plan_operations(job: Job, shop: Shop, missing: list[str]) -> tuple[OperationPlan, ...]:
    """Return every operation as planned; what is missing is added to ``missing``."""
    sent_out = {row.operation for row in job.buyouts if row.kind == "outside processing"}
    plans = tuple(_plan(row, job, shop, row.number in sent_out, missing) for row in job.operations)
    if plans and yields_to_end([plan.scrap_share for plan in plans])[0] < SMALLEST_YIELD:
        missing.append("The routing scraps practically every piece; lower its scrap shares.")
    return plans


def _plan(row: Operation, job: Job, shop: Shop, sent_out: bool, missing: list[str]) -> OperationPlan:
    hours = setup_hours(row, shop)
    cycle = _cycle(row, job, shop, sent_out, missing)
    load = (row.load_minutes or 0.0) / row.pieces_per_load
    rates = rates_of(row, shop)
    if rates is None:
        names_one = row.work_center is not None or row.hand_rate is not None
        if sent_out and not names_one and cycle is not None and hours + cycle + load == 0:
            rates = NO_RATES
        else:
            what = "a rate that the shop does not have" if names_one else "neither work center nor hand rate"
            missing.append(f"Operation {row.number} names {what}.")
    return OperationPlan(
        number=row.number,
        setup_hours=hours,
        cycle_minutes=cycle,
        minutes_per_piece=total([cycle, load]),
        attendance_share=row.attendance_share,
        scrap_share=row.scrap_share,
        rates=rates,
        by_hand=row.hand_rate is not None,
    )


def _cycle(row: Operation, job: Job, shop: Shop, sent_out: bool, missing: list[str]) -> float | None:
    if row.cycle_minutes is not None:
        return row.cycle_minutes
    lines = [line for line in job.cutting if line.operation == row.number]
    if not lines and not sent_out:
        missing.append(f"Operation {row.number} has neither cycle minutes nor cutting lines.")
        return None
    return cycle_of_lines(lines, job, shop, missing)


def operation_figures(plan: OperationPlan, entering: int, learning: Learning) -> OperationFigures:
    """Return hours and amounts of one operation when ``entering`` pieces enter it.

    Hand work may get faster from piece to piece: then the pieces count as fewer first-piece times.
    """
    pieces: float = entering
    if plan.by_hand and learning.form != "off":
        pieces = learned_pieces(entering, learning.rate, learning.form)
    machine_hours = None if plan.minutes_per_piece is None else pieces * plan.minutes_per_piece / 60
    attended_hours = product(machine_hours, plan.attendance_share)
    rates = plan.rates
    return OperationFigures(
        number=plan.number,
        entering=entering,
        setup_hours=plan.setup_hours,
        cycle_minutes=plan.cycle_minutes,
        machine_hours=machine_hours,
        attended_hours=attended_hours,
        rates=rates,
        setup_sell=None if rates is None else plan.setup_hours * (rates.machine_sell + rates.labor_sell),
        setup_cost=None if rates is None else plan.setup_hours * (rates.machine_cost + rates.labor_cost),
        machine_sell=None if rates is None else product(machine_hours, rates.machine_sell),
        machine_cost=None if rates is None else product(machine_hours, rates.machine_cost),
        labor_sell=None if rates is None else product(attended_hours, rates.labor_sell),
        labor_cost=None if rates is None else product(attended_hours, rates.labor_cost),
    )
