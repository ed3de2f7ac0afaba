"""Which of the received prices is chosen for each line and quantity, and why: by what the whole line would cost.

A price counts if it is a number, in the shop's currency, not expired on the day of the quotation, and for the pack
that the job reckons with. What does not count is flagged and kept, and never chosen.
"""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass, field

from quotebook.flows.returns import Bid, Returned
from quotebook.model import STOCK_LINE, Job, Shop, SupplierPrice, name_key
from quotebook.model.checks import is_shops_currency
from quotebook.pricing.plan import plan_job


@dataclass(slots=True)
class Offer:
    """A received price beside the line it is for. ``state`` is one word, ``why`` the sentence beside it."""

    returned: Returned
    bid: Bid
    line: str
    landed: float | None = None
    chosen: bool = False
    state: str = ""
    why: str = ""
    replaced: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Terms:
    """What a price is held against: the day, the shop's currency, and what one unit of a line holds of its price."""

    day: datetime.date
    shop: Shop
    per_price: dict[str, float]
    packs: dict[str, float]


def terms_of(job: Job, shop: Shop, today: datetime.date) -> Terms:
    """Return the terms of a job; a price must hold on the quotation's date, or today where none is given."""
    per_price = {name_key(row.name): 1.0 for row in job.buyouts}
    per_price[name_key(STOCK_LINE)] = plan_job(job, shop).stock.per_price or 1.0
    packs = {name_key(row.name): row.pack_size for row in job.buyouts if row.kind == "hardware"}
    return Terms(job.job.quote_date or today, shop, per_price, packs)


def judge(offer: Offer, terms: Terms) -> None:
    """Say what a single offer is worth, before it is held against others."""
    bid, key = offer.bid, name_key(offer.line)
    if bid.problems:
        offer.state, offer.why = "not usable", "; ".join(bid.problems)
    elif bid.declined:
        offer.state, offer.why = "no bid", f"no bid: {bid.reason or 'no reason given'}"
    elif bid.price is None:
        offer.state, offer.why = "no answer", "no answer for this quantity"
    elif not is_shops_currency(bid.currency, terms.shop):
        offer.state = "other currency"
        offer.why = f"not chosen: in {bid.currency}, the shop reckons in {terms.shop.money.currency_code}"
    elif bid.valid_until is not None and bid.valid_until < terms.day:
        offer.state, offer.why = "expired", f"not chosen: expired on {bid.valid_until}, needed on {terms.day}"
    elif bid.pack_size is not None and key in terms.packs and bid.pack_size != terms.packs[key]:
        offer.state = "other pack"
        offer.why = f"not chosen: packs of {bid.pack_size:g}, the job reckons with {terms.packs[key]:g}"
    else:
        offer.state = "valid"
        goods = bid.price * terms.per_price.get(key, 1.0) * bid.quantity
        offer.landed = max(bid.lot_minimum or 0.0, goods)


def incumbent(job: Job, line: str, quantity: int, terms: Terms, leave_out: frozenset[int]) -> tuple[int, float] | None:
    """Return row and landed amount of the price chosen so far that holds at a quantity and has not expired."""
    key = name_key(line)
    held = [
        (row.from_quantity, index)
        for index, row in enumerate(job.supplier_prices)
        if row.chosen and index not in leave_out and name_key(row.line) == key and row.from_quantity <= quantity
    ]
    if not held:
        return None
    index = max(held)[1]
    row = job.supplier_prices[index]
    if row.price is None or (row.valid_until is not None and row.valid_until < terms.day):
        return None
    goods = row.price * terms.per_price.get(name_key(line), 1.0) * quantity
    return index, max(row.lot_minimum or 0.0, goods)


def choose(offers: Sequence[Offer], job: Job, terms: Terms, leave_out: frozenset[int]) -> None:
    """Mark the cheapest valid offer of each line and quantity as chosen, and say for each one why or why not.

    ``leave_out``: rows of the job that the offers themselves will replace.
    """
    groups: dict[tuple[str, int], list[Offer]] = {}
    for offer in offers:
        judge(offer, terms)
        if offer.landed is not None:
            groups.setdefault((name_key(offer.line), offer.bid.quantity), []).append(offer)
    for (_, quantity), group in groups.items():
        group.sort(key=lambda one: (one.landed, one.returned.supplier))
        best = group[0]
        assert best.landed is not None
        so_far = incumbent(job, best.line, quantity, terms, leave_out)
        if so_far is not None and so_far[1] <= best.landed:
            for offer in group:
                offer.state = "kept another"
                offer.why = f"not chosen: the price chosen before costs {so_far[1]:,.2f} for {quantity}, not more"
            continue
        best.chosen, best.state = True, "chosen"
        best.why = _reason(best, group[1:], quantity)
        for offer in group[1:]:
            offer.state = "dearer"
            offer.why = f"not chosen: {offer.landed:,.2f} for {quantity}, {best.returned.supplier} {best.landed:,.2f}"


def _reason(best: Offer, others: list[Offer], quantity: int) -> str:
    told = f"chosen: {best.landed:,.2f} for {quantity}"
    if others:
        told += f", lowest of {len(others) + 1}; next {others[0].landed:,.2f}"
    else:
        told += ", the only valid price"
    if best.bid.valid_until is None:
        told += "; no validity date given"
    if best.bid.alternates:
        told += "; an alternate was offered"
    return told


def same_row(row: SupplierPrice, offer: Offer) -> bool:
    """Tell whether a row of the job is an earlier answer of the same supplier for the same line and quantity."""
    return (
        name_key(row.line) == name_key(offer.line)
        and name_key(row.supplier) == name_key(offer.returned.supplier)
        and row.from_quantity == offer.bid.quantity
    )
