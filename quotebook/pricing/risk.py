"""How far the cost of a lot may be off: three-point estimates of operations and purchases, summed in closed form."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotebook.machining.uncertainty import chance_above, not_passed, pert_mean, pert_spread, sum_spread
from quotebook.model import Job, Operation
from quotebook.pricing.result import LotPrice, OperationFigures


@dataclass(frozen=True)
class LotRisk:
    """Money of one lot; None is unknown. P50 is the mean: the sum is taken as normal."""

    mean: float | None
    spread: float | None
    p80: float | None
    loss_chance: float | None


@dataclass(frozen=True)
class _Part:
    extra: float
    spread: float


def lot_risk(job: Job, lot: LotPrice) -> LotRisk:
    """Return expected cost, spread at the job's correlation, cost not passed in 8 of 10 cases, chance of a loss."""
    parts = _parts(job, lot)
    if parts is None or lot.cost is None:
        return LotRisk(None, None, None, None)
    mean = lot.cost + math.fsum(part.extra for part in parts)
    spread = sum_spread([part.spread for part in parts], job.risk.correlation)
    loss = None if lot.extended_price is None else chance_above(lot.extended_price, mean, spread)
    return LotRisk(mean, spread, not_passed(mean, spread, 0.8), loss)


def _parts(job: Job, lot: LotPrice) -> list[_Part] | None:
    operations = [_operation(row, figures) for row, figures in zip(job.operations, lot.operations, strict=False)]
    shares = [(job.stock.low_share, job.stock.high_share), *((row.low_share, row.high_share) for row in job.buyouts)]
    purchases = _purchases([row.purchase for row in lot.purchases], shares)
    if purchases is None or any(part is None for part in operations):
        return None
    return [part for part in operations if part is not None] + purchases


def _operation(row: Operation, figures: OperationFigures) -> _Part | None:
    likely, rates = figures.cycle_minutes, figures.rates
    if likely is None or rates is None:
        return None
    low = likely if row.low_cycle_minutes is None else row.low_cycle_minutes
    high = likely if row.high_cycle_minutes is None else row.high_cycle_minutes
    rate = rates.machine_cost + row.attendance_share * rates.labor_cost
    money = figures.entering * rate / 60
    return _Part(money * (pert_mean(low, likely, high) - likely), money * pert_spread(low, high))


def _purchases(amounts: Sequence[float | None], shares: Sequence[tuple[float, float]]) -> list[_Part] | None:
    parts = []
    for amount, (low, high) in zip(amounts, shares, strict=False):
        if amount is None:
            return None
        least, most = amount * (1 - low), amount * (1 + high)
        parts.append(_Part(pert_mean(least, amount, most) - amount, pert_spread(least, most)))
    return parts
