"""Extras of a lot: lines that are easily forgotten, and edges of tools where the policy charges them on the job."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from quotebook.model import Extra, Job, Shop
from quotebook.pricing.cutting import tool_cost_per_piece
from quotebook.pricing.money import total


def wanted_extras(job: Job) -> tuple[Extra, ...]:
    """Return the lines that are switched on."""
    return tuple(row for row in job.extras if row.wanted)


def extras_amount(
    job: Job, quantity: int, started: int, purchases: float | None, cost_before: float | None, edges: float
) -> float | None:
    """Return the extras of a lot; None while a share is asked of something unknown."""
    amounts: list[float | None] = [edges]
    for row in wanted_extras(job):
        pieces = started if row.counts == "pieces started" else quantity
        amounts.append(row.per_lot + row.per_piece * pieces)
        if row.share:
            base = cost_before if row.share_of == "lot cost" else purchases
            amounts.append(None if base is None else row.share * base)
    return total(amounts)


def edge_costs(job: Job, shop: Shop) -> tuple[float, ...]:
    """Return, for each operation, the tool edges charged on one piece; 0 where they are inside the rates."""
    if shop.policy.tool_cost_charging != "on the job":
        return (0.0,) * len(job.operations)
    return tuple(tool_cost_per_piece(row.number, job, shop) for row in job.operations)


def extras_per_piece(job: Job, edges: Iterable[float]) -> float:
    """Return what one more piece takes of the extras."""
    return sum(row.per_piece for row in wanted_extras(job)) + sum(edges)


def edges_of_lot(edges: Sequence[float], entering: Sequence[int]) -> float:
    """Return the edges of a lot; edges whose life or cost is not known are not charged."""
    return sum(edge * pieces for edge, pieces in zip(edges, entering, strict=False))
