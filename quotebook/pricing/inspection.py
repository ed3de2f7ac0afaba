"""Inspection of a lot: sample size by plan, hours, and the amounts they come to."""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.machining.sampling import (
    Plan,
    accepted_stream,
    bad_pieces,
    none_found,
    single_normal_plan,
    zero_acceptance_sample,
)
from quotebook.model import HandRate, Inspection, Job, Shop, name_key


@dataclass(frozen=True)
class InspectionFigures:
    """Sample, hours and amounts of one lot's inspection."""

    sample_size: int | None
    hours: float | None
    sell: float | None
    cost: float | None


def sample_size(inspection: Inspection, shop: Shop, quantity: int) -> int | None:
    """Return the pieces measured of a lot; None when a fixed number is planned but not given.

    The sampling table is the shop's: the row with the largest lot_from that the lot reaches. A lot
    below its first row is measured whole.
    """
    if inspection.plan == "none":
        return 0
    if inspection.plan == "fixed number":
        return None if inspection.fixed_sample is None else min(quantity, inspection.fixed_sample)
    if inspection.plan == "sampling table":
        reached = [row.sample for row in shop.sampling if row.lot_from <= quantity]
        return min(quantity, reached[-1]) if reached else quantity
    if inspection.plan in ("acceptance quality", "zero acceptance"):
        return acceptance_plan(inspection, quantity).sample
    return quantity


def acceptance_plan(inspection: Inspection, quantity: int) -> Plan:
    """Return sample and acceptance number of a plan by acceptance quality or of zero acceptance."""
    if inspection.plan == "zero acceptance":
        return Plan(zero_acceptance_sample(quantity, inspection.zero_bad_share, inspection.zero_confidence), 0)
    return single_normal_plan(quantity, inspection.level, quality_percent(inspection))


def quality_percent(inspection: Inspection) -> float:
    """Return the acceptance quality in percent: "AQL 1.0" is 1.0."""
    return float(inspection.quality.removeprefix("AQL "))


@dataclass(frozen=True)
class SamplingRisk:
    """Chance that a good lot is refused (the producer's) and that a lot as bad as the limit passes (the customer's)."""

    producer: float
    customer: float


def sampling_risk(inspection: Inspection, quantity: int) -> SamplingRisk | None:
    """Return the risks of a plan; None for plans that promise nothing. A lot inspected whole has none.

    By the binomial, a stream of lots; the customer's risk of zero acceptance by the hypergeometric, this lot alone.
    """
    if inspection.plan not in ("acceptance quality", "zero acceptance"):
        return None
    plan = acceptance_plan(inspection, quantity)
    if plan.sample >= quantity:
        return SamplingRisk(0.0, 0.0)
    producer = 1 - accepted_stream(plan.sample, plan.accept, quality_percent(inspection) / 100)
    if inspection.plan == "zero acceptance":
        return SamplingRisk(
            producer, none_found(quantity, bad_pieces(quantity, inspection.limiting_share), plan.sample)
        )
    return SamplingRisk(producer, accepted_stream(plan.sample, plan.accept, inspection.limiting_share))


def inspection_rate(job: Job, shop: Shop) -> HandRate | None:
    """Return the hand rate of the inspection; None when it names none or one the shop does not have."""
    key = name_key(job.inspection.rate or "")
    return next((row for row in shop.hand_rates if name_key(row.name) == key), None)


def check_inspection(job: Job, shop: Shop, missing: list[str]) -> None:
    """Add to ``missing`` what the inspection lacks for any lot."""
    inspection = job.inspection
    per_piece = inspection.minutes_per_piece > 0 and inspection.plan != "none"
    if inspection.plan == "fixed number" and inspection.fixed_sample is None:
        missing.append("The inspection plan is a fixed number, which is not given.")
    if (_lot_hours(inspection) > 0 or per_piece) and inspection_rate(job, shop) is None:
        missing.append("Inspection has hours but no rate.")


def inspection_figures(job: Job, shop: Shop, quantity: int) -> InspectionFigures:
    """Return sample, hours and amounts for a lot of ``quantity`` good pieces."""
    inspection = job.inspection
    sample = sample_size(inspection, shop, quantity)
    if sample is None:
        return InspectionFigures(None, None, None, None)
    hours = _lot_hours(inspection) + sample * inspection.minutes_per_piece / 60
    rate = inspection_rate(job, shop)
    if rate is None:
        # No hours cost nothing at any rate; hours at an unknown rate cost nobody knows what.
        amount = inspection.gauge_cost if hours == 0 else None
        return InspectionFigures(sample, hours, amount, amount)
    gauges = inspection.gauge_cost
    return InspectionFigures(sample, hours, hours * rate.sell_rate + gauges, hours * rate.cost_rate + gauges)


def _lot_hours(inspection: Inspection) -> float:
    return inspection.setup_hours + inspection.report_hours + inspection.certificate_hours
