"""The rates on an operation's hours."""

from __future__ import annotations

from quotebook.model import Operation, Shop, name_key
from quotebook.pricing.result import Rates


def rates_of(operation: Operation, shop: Shop) -> Rates | None:
    """Return the rates of an operation: its hand rate, else its work center with operator; None: neither."""
    hands = {name_key(row.name): row for row in shop.hand_rates}
    if operation.hand_rate is not None:
        hand = hands.get(name_key(operation.hand_rate))
        return None if hand is None else Rates(0.0, 0.0, hand.sell_rate, hand.cost_rate)
    center = next(
        (row for row in shop.work_centers if name_key(row.name) == name_key(operation.work_center or "")), None
    )
    if center is None:
        return None
    if center.operator is None:
        return Rates(center.sell_rate, center.cost_rate, 0.0, 0.0)
    operator = hands[name_key(center.operator)]
    return Rates(center.sell_rate, center.cost_rate, operator.sell_rate, operator.cost_rate)
