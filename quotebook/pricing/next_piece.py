"""The next piece: what one more costs while the job is still set up and nothing is scrapped.

No lot charges, minimums, packs or rounding steps; supplier prices as they hold for one piece.
"""

from __future__ import annotations

from quotebook.model import Buyout
from quotebook.pricing.buying import buyout_line
from quotebook.pricing.extras import extras_per_piece
from quotebook.pricing.inspection import inspection_rate
from quotebook.pricing.lot import LotWork
from quotebook.pricing.money import product, round_up_to_step, total
from quotebook.pricing.plan import JobPlan
from quotebook.pricing.result import NextPiece
from quotebook.pricing.routing import OperationPlan


def next_piece(plan: JobPlan, single: LotWork) -> NextPiece:
    """Return the next piece; ``single`` is the lot of one piece. All None while anything is missing."""
    if plan.missing or single.missing:
        return NextPiece(None, None, None)
    terms = plan.terms
    cost = total(_amounts(plan, single, sell=False))
    sell = total(_amounts(plan, single, sell=True))
    base = product(cost, terms.factor) if terms.cost_plus else sell
    price = None if base is None else round_up_to_step(base * terms.order_factor, plan.shop.policy.price_step)
    return NextPiece(sell=sell, cost=cost, price=price)


def _amounts(plan: JobPlan, single: LotWork, sell: bool) -> list[float | None]:
    amounts = [_run(row, sell) for row in plan.operations]
    amounts.append(_stock(plan, single, sell))
    amounts += [_buyout(row, plan, single, sell) for row in plan.job.buyouts]
    amounts.append(_inspection(plan, sell))
    head = plan.job.job
    amounts.append(head.packing_per_piece)
    amounts.append(extras_per_piece(plan.job, plan.edges))
    if head.freight_terms == "in the price":
        amounts.append(head.freight_per_piece)
    return amounts


def _run(row: OperationPlan, sell: bool) -> float | None:
    if row.rates is None or row.minutes_per_piece is None:
        return None
    machine = row.rates.machine_sell if sell else row.rates.machine_cost
    labor = row.rates.labor_sell if sell else row.rates.labor_cost
    return row.minutes_per_piece / 60 * (machine + row.attendance_share * labor)


def _stock(plan: JobPlan, single: LotWork, sell: bool) -> float | None:
    if not plan.stock.bought:
        return 0.0
    figures = single.purchases[0]
    return product(figures.unit_price, plan.stock.units_for_one_more(), 1 + figures.markup_share if sell else 1.0)


def _buyout(row: Buyout, plan: JobPlan, single: LotWork, sell: bool) -> float | None:
    line = buyout_line(row, plan.shop)
    figures = next(item for item in single.purchases[1:] if item.line == row.name)
    per_piece = 1.0
    if row.kind == "hardware":
        per_piece = row.quantity_per_piece * (1 + row.attrition_share) / row.pack_size
    return product(figures.unit_price, per_piece, 1 + line.markup_share if sell else 1.0)


def _inspection(plan: JobPlan, sell: bool) -> float | None:
    inspection = plan.job.inspection
    if inspection.plan != "every piece" or inspection.minutes_per_piece == 0:
        return 0.0
    rate = inspection_rate(plan.job, plan.shop)
    if rate is None:
        return None
    return inspection.minutes_per_piece / 60 * (rate.sell_rate if sell else rate.cost_rate)
