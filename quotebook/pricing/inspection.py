"""Inspection of a lot: sample size by plan, hours, and the amounts they come to."""

from __future__ import annotations

from dataclasses import dataclass

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
    return quantity


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
    if (inspection.setup_hours > 0 or inspection.report_hours > 0 or per_piece) and inspection_rate(job, shop) is None:
        missing.append("Inspection has hours but no rate.")


def inspection_figures(job: Job, shop: Shop, quantity: int) -> InspectionFigures:
    """Return sample, hours and amounts for a lot of ``quantity`` good pieces."""
    inspection = job.inspection
    sample = sample_size(inspection, shop, quantity)
    if sample is None:
        return InspectionFigures(None, None, None, None)
    hours = inspection.setup_hours + inspection.report_hours + sample * inspection.minutes_per_piece / 60
    rate = inspection_rate(job, shop)
    if rate is None:
        # No hours cost nothing at any rate; hours at an unknown rate cost nobody knows what.
        amount = 0.0 if hours == 0 else None
        return InspectionFigures(sample, hours, amount, amount)
    return InspectionFigures(sample, hours, hours * rate.sell_rate, hours * rate.cost_rate)
