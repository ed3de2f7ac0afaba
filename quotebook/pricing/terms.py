"""The terms in force for a job: the shop's policy, where the job does not override it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

from quotebook.model import Job, Shop

T = TypeVar("T")


@dataclass(frozen=True)
class Terms:
    """What holds for this job. Shares are 0 to 1; ``factor`` raises a cost to a price.

    ``factor`` is None when a margin of 100 % or more would be needed. ``order_factor`` is what
    expediting and discount do to a lot's price.
    """

    cost_plus: bool
    profit_rule: str
    profit_share: float
    factor: float | None
    nonrecurring_carries_profit: bool
    spread: bool
    order_factor: float
    order_minimum: float
    used_length: bool
    all_started: bool


def profit_factor(rule: str, share: float) -> float | None:
    """Return what a cost is multiplied by: 1/(1 - share) for a margin, 1 + share for a markup."""
    if rule == "markup":
        return 1 + share
    return None if share >= 1 else 1 / (1 - share)


def terms_of(job: Job, shop: Shop) -> Terms:
    """Return the terms in force: each override of the job, else the shop's policy."""
    head, policy = job.job, shop.policy
    rule = head.profit_rule or policy.profit_rule
    share = _first(head.profit_share, policy.profit_share)
    expedite = 1 + _first(head.expedite_share, policy.expedite_share) if head.expedite else 1.0
    return Terms(
        cost_plus=(head.pricing_basis or policy.pricing_basis) == "cost plus",
        profit_rule=rule,
        profit_share=share,
        factor=profit_factor(rule, share),
        nonrecurring_carries_profit=_first(head.nonrecurring_carries_profit, policy.nonrecurring_carries_profit),
        spread=(head.nonrecurring_charging or policy.nonrecurring_charging) == "spread",
        order_factor=expedite * (1 - head.discount_share),
        order_minimum=_first(head.order_minimum, policy.order_minimum),
        used_length=(head.bar_charging or policy.bar_charging) == "used length",
        all_started=(head.pieces_charged or policy.pieces_charged) == "started",
    )


def _first(override: T | None, otherwise: T) -> T:
    return otherwise if override is None else override
