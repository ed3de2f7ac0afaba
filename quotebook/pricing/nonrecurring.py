"""Nonrecurring work and purchases: paid once per part number, charged on a line of their own or spread."""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.model import Job, Nonrecurring, Shop, name_key
from quotebook.pricing.extras import wanted_extras
from quotebook.pricing.money import product, round_half_away, total
from quotebook.pricing.result import NonrecurringFigures
from quotebook.pricing.terms import Terms


@dataclass(frozen=True)
class NonrecurringPlan:
    """All nonrecurring lines with their sums; ``full`` is the price rounded to the currency's decimals."""

    lines: tuple[NonrecurringFigures, ...]
    cost: float | None
    price: float | None
    full: float | None


def plan_nonrecurring(job: Job, shop: Shop, terms: Terms, missing: list[str]) -> NonrecurringPlan:
    """Return cost and price of everything nonrecurring; a rate that is missing is added to ``missing``."""
    lines = tuple(_line(index, row, shop, terms, missing) for index, row in enumerate(job.nonrecurring, start=1))
    lines += tuple(
        _line(0, Nonrecurring(description=row.item, purchase=row.once), shop, terms, missing)
        for row in wanted_extras(job)
        if row.once
    )
    price = total(line.price for line in lines)
    return NonrecurringPlan(
        lines=lines,
        cost=total(line.cost for line in lines),
        price=price,
        full=None if price is None else round_half_away(price, shop.money.decimals),
    )


def _line(index: int, row: Nonrecurring, shop: Shop, terms: Terms, missing: list[str]) -> NonrecurringFigures:
    key = name_key(row.rate or "")
    hand = next((rate for rate in shop.hand_rates if name_key(rate.name) == key), None)
    if hand is None and row.hours > 0:
        missing.append(f"Nonrecurring line {index} has hours but no rate.")
        return NonrecurringFigures(row.description, row.hours, None, None)
    cost_rate, sell_rate = (0.0, 0.0) if hand is None else (hand.cost_rate, hand.sell_rate)
    cost = row.hours * cost_rate + row.purchase
    price: float | None
    if not terms.nonrecurring_carries_profit:
        price = cost
    elif terms.cost_plus:
        price = product(cost, terms.factor)
    else:
        price = row.hours * sell_rate + row.purchase * (1 + shop.policy.nonrecurring_markup)
    return NonrecurringFigures(row.description, row.hours, cost, price)
