"""Whether the job suits the shop: eight criteria, each with its reason, and the decision they make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from quotebook.machining.units import KG_PER_POUND
from quotebook.model import Job, Shop, WorkCenter, name_key
from quotebook.pricing.money import round_half_away

#: "not compared": nothing to compare with is stated; it neither helps nor hinders.
State = Literal["fits", "does not fit", "not said", "not compared"]
Decision = Literal["go", "no-go", "go, overruled", "undecided"]

MM_PER_INCH = 25.4
#: Lengths are compared to a millionth of a millimetre, so that 10 in fits into 254 mm.
MM_DECIMALS = 6


@dataclass(frozen=True)
class Criterion:
    """One criterion: its name, its state, and a sentence that says why."""

    name: str
    state: State
    sentence: str


@dataclass(frozen=True)
class FitResult:
    """All criteria in their fixed order, and the decision."""

    criteria: tuple[Criterion, ...]
    decision: Decision


def fit_check(job: Job, shop: Shop) -> FitResult:
    """Return whether a job suits a shop.

    Any criterion that does not fit makes it "no-go", any that is not said "undecided", unless the estimator gave a
    reason to go all the same. Without a due date none is asked for.
    """
    used = _work_centers_used(job, shop)
    criteria = (
        _envelope(job, used),
        _tolerance(job, used),
        _material(job, shop),
        _quantity(job, shop),
        _due_date(job),
        _interest(job),
        _load(job, used),
        _special(job, shop),
    )
    return FitResult(criteria, _decision([row.state for row in criteria], job.fit.overrule_reason))


def _decision(states: Sequence[State], overrule_reason: str) -> Decision:
    if all(state in ("fits", "not compared") for state in states):
        return "go"
    if overrule_reason.strip():
        return "go, overruled"
    return "no-go" if "does not fit" in states else "undecided"


def _work_centers_used(job: Job, shop: Shop) -> tuple[WorkCenter, ...]:
    """Return the shop's work centers that any operation names, in the shop's order."""
    named = {name_key(row.work_center) for row in job.operations if row.work_center is not None}
    return tuple(row for row in shop.work_centers if name_key(row.name) in named)


def _mm(length: float, units: str) -> float:
    return round_half_away(length * (MM_PER_INCH if units == "in" else 1.0), MM_DECIMALS)


def _envelope(job: Job, used: Sequence[WorkCenter]) -> Criterion:
    name, fit = "envelope", job.fit
    if fit.length is None or fit.width is None or fit.height is None:
        return Criterion(name, "not said", "The size of the finished part is not given.")
    if not used:
        return Criterion(name, "not said", "No operation names a work center of the shop.")
    sizes = (fit.length, fit.width, fit.height)
    part = sorted(_mm(size, job.job.units) for size in sizes)
    too_small = [
        row.name
        for row in used
        if any(
            size > travel
            for size, travel in zip(
                part, sorted(_mm(t, row.units) for t in (row.travel_x, row.travel_y, row.travel_z)), strict=True
            )
        )
    ]
    written = " x ".join(f"{size:g}" for size in sizes) + f" {job.job.units}"
    if too_small:
        return Criterion(name, "does not fit", f"The part, {written}, is larger than: {', '.join(too_small)}.")
    return Criterion(name, "fits", f"The part, {written}, fits every work center of the routing.")


def _tolerance(job: Job, used: Sequence[WorkCenter]) -> Criterion:
    name, tightest = "tolerance", job.fit.tightest_tolerance
    if tightest is None:
        return Criterion(name, "not said", "The tightest tolerance is not given.")
    asked = f"Plus or minus {tightest:g} {job.job.units} is asked"
    if job.fit.tolerance_by == "a sized tool":
        return Criterion(name, "not compared", f"{asked}, of a size that its tool makes, not the machine.")
    if not used:
        return Criterion(name, "not said", "No operation names a work center of the shop.")
    best = min(used, key=lambda row: _mm(row.holding_tolerance, row.units))
    held = f"plus or minus {best.holding_tolerance:g} {best.units} on {best.name}"
    if _mm(tightest, job.job.units) >= _mm(best.holding_tolerance, best.units):
        return Criterion(name, "fits", f"{asked}; the routing holds {held}.")
    return Criterion(name, "does not fit", f"{asked}; the routing holds no better than {held}.")


def _material(job: Job, shop: Shop) -> Criterion:
    name, stock = "material", job.stock
    if stock.form == "no stock":
        return Criterion(name, "fits", "No stock is needed.")
    if stock.form == "customer supplied":
        return Criterion(name, "fits", "The customer supplies the material.")
    if not stock.material.strip():
        return Criterion(name, "not said", "The material is not given.")
    if name_key(stock.material) in {name_key(row.name) for row in shop.materials}:
        return Criterion(name, "fits", f"The shop works {stock.material}.")
    return Criterion(name, "does not fit", f"{stock.material} is not among the shop's materials.")


def _quantity(job: Job, shop: Shop) -> Criterion:
    name, policy = "quantity", shop.policy
    if not job.job.quantities:
        return Criterion(name, "not said", "No quantity is given.")
    limits = f"{policy.smallest_lot} to {policy.largest_lot} pieces"
    outside = [q for q in job.job.quantities if not policy.smallest_lot <= q <= policy.largest_lot]
    if outside:
        listed = ", ".join(map(str, outside))
        return Criterion(name, "does not fit", f"The shop makes lots of {limits}; asked are {listed}.")
    return Criterion(name, "fits", f"Every quantity is within the shop's {limits}.")


def _due_date(job: Job) -> Criterion:
    name, head = "due date", job.job
    if head.due_date is None:
        return Criterion(name, "fits", "No due date is asked for.")
    if head.quote_date is None or head.lead_days is None:
        return Criterion(name, "not said", "Due date, quotation date and lead time are not all given.")
    days = (head.due_date - head.quote_date).days
    told = f"The job needs {head.lead_days} days and has {days}."
    return Criterion(name, "fits" if head.lead_days <= days else "does not fit", told)


def _interest(job: Job) -> Criterion:
    name, interest = "interest", job.fit.interest
    if interest is None:
        return Criterion(name, "not said", "Interest in the job is not given.")
    if interest == 0:
        return Criterion(name, "does not fit", "The shop has no interest in the job.")
    return Criterion(name, "fits", f"Interest in the job is {interest} of 3.")


def _kilograms(weight: float, units: str) -> float:
    return round_half_away(weight * (KG_PER_POUND if units == "in" else 1.0), MM_DECIMALS)


def _load(job: Job, used: Sequence[WorkCenter]) -> Criterion:
    name, load = "load", job.fit.load_weight
    limited = [(row, row.table_load) for row in used if row.table_load is not None]
    if not limited:
        return Criterion(name, "not compared", "No work center of the routing states the load of its table.")
    if load is None:
        return Criterion(name, "not said", "The weight of blank and fixture is not given.")
    over = [row.name for row, limit in limited if _kilograms(load, job.job.units) > _kilograms(limit, row.units)]
    if over:
        return Criterion(name, "does not fit", f"Blank and fixture are too heavy for: {', '.join(over)}.")
    return Criterion(name, "fits", "Blank and fixture are within the load of every table that states one.")


def _special(job: Job, shop: Shop) -> Criterion:
    name, asked = "special processes", job.fit.special_processes
    known = {name_key(row.name) for row in shop.special_processes}
    unknown = [word for word in asked if name_key(word) not in known]
    if unknown:
        return Criterion(name, "does not fit", f"The shop has no source for: {', '.join(unknown)}.")
    return Criterion(name, "fits", "Every special process has a source." if asked else "No special process is asked.")
