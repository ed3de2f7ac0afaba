"""One lot: pieces, hours and purchases, gathered into the elements of its cost and price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from quotebook.pricing.buying import buyout_purchase, stock_purchase
from quotebook.pricing.extras import edges_of_lot, extras_amount
from quotebook.pricing.inspection import InspectionFigures, inspection_figures
from quotebook.pricing.money import product, total
from quotebook.pricing.plan import JobPlan
from quotebook.pricing.result import ELEMENTS, Elements, OperationFigures, PurchaseFigures
from quotebook.pricing.routing import entering_pieces, operation_figures


@dataclass(frozen=True)
class LotWork:
    """What one lot takes, before it is priced; ``missing`` is what this lot alone lacks."""

    quantity: int
    entering: tuple[int, ...]
    pieces_started: int | None
    operations: tuple[OperationFigures, ...]
    purchases: tuple[PurchaseFigures, ...]
    inspection: InspectionFigures
    sell: Elements
    cost: Elements
    price: Elements
    missing: tuple[str, ...]


def lot_work(plan: JobPlan, quantity: int) -> LotWork:
    """Return what a lot of ``quantity`` good pieces takes."""
    job, missing = plan.job, list[str]()
    spare = job.job.spare_pieces
    entering: tuple[int, ...] = ()
    if not plan.yields_nothing:
        shares = [row.scrap_share for row in plan.operations]
        entering = entering_pieces(quantity, shares, spare, plan.terms.all_started)
    started = None if plan.yields_nothing else (entering[0] if entering else quantity + spare)
    operations = tuple(
        operation_figures(row, n, job.learning) for row, n in zip(plan.operations, entering, strict=False)
    )
    purchases = () if started is None else _purchases(plan, quantity, started, operations, missing)
    inspection = inspection_figures(job, plan.shop, quantity)
    packing = packing_amount(plan, quantity)
    unknown = started is None
    sell = _elements(operations, purchases, inspection.sell, packing, "sell", unknown)
    cost = _elements(operations, purchases, inspection.cost, packing, "cost", unknown)
    extras = None
    if started is not None:
        bought = total(row.purchase for row in purchases)
        edges = edges_of_lot(plan.edges, entering)
        extras = extras_amount(job, quantity, started, bought, cost.total(), edges)
    sell, cost = replace(sell, extras=extras), replace(cost, extras=extras)
    return LotWork(
        quantity=quantity,
        entering=entering,
        pieces_started=started,
        operations=operations,
        purchases=purchases,
        inspection=inspection,
        sell=sell,
        cost=cost,
        price=_raised(cost, plan.terms.factor) if plan.terms.cost_plus else sell,
        missing=tuple(missing),
    )


def packing_amount(plan: JobPlan, quantity: int) -> float:
    """Return packing, and freight where it is in the price."""
    head = plan.job.job
    amount = head.packing_per_lot + head.packing_per_piece * quantity
    if head.freight_terms == "in the price":
        amount += head.freight_per_lot + head.freight_per_piece * quantity
    return amount


def _purchases(
    plan: JobPlan, quantity: int, started: int, operations: Sequence[OperationFigures], missing: list[str]
) -> tuple[PurchaseFigures, ...]:
    """Return the stock first, then each buyout in the job's order."""
    entering = {row.number: row.entering for row in operations}
    bought = [stock_purchase(plan.job, plan.shop, plan.stock, started, missing)]
    for row in plan.job.buyouts:
        sent = started if row.operation is None else entering[row.operation]
        bought.append(buyout_purchase(row, plan.job, plan.shop, quantity, sent, missing))
    return tuple(bought)


def _elements(
    operations: Sequence[OperationFigures],
    purchases: Sequence[PurchaseFigures],
    inspection: float | None,
    packing: float,
    side: str,
    unknown: bool,
) -> Elements:
    """Gather one side, "sell" or "cost"; ``unknown``: how many pieces are made is not known."""
    if unknown:
        return Elements(None, None, None, None, None, None, inspection, packing, 0.0)

    def of_operations(element: str) -> float | None:
        return total(getattr(row, f"{element}_{side}") for row in operations)

    def of_purchases(kind: str) -> float | None:
        amounts = (row.sell if side == "sell" else row.purchase for row in purchases if row.kind == kind)
        return total(amounts)

    return Elements(
        setup=of_operations("setup"),
        machine=of_operations("machine"),
        labor=of_operations("labor"),
        stock=of_purchases("stock"),
        outside=of_purchases("outside processing"),
        hardware=of_purchases("hardware"),
        inspection=inspection,
        packing=packing,
        extras=0.0,
    )


def _raised(cost: Elements, factor: float | None) -> Elements:
    return Elements(**{name: product(getattr(cost, name), factor) for name in ELEMENTS})
