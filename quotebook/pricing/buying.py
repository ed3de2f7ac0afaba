"""Purchases of a lot: which price holds, minimums, charges, freight, markup.

Stock, outside processing and hardware differ only in what their units are.
"""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.model import STOCK_LINE, Buyout, Job, Shop, name_key
from quotebook.model.checks import is_shops_currency
from quotebook.pricing.money import ceil_guarded, product, round_up_to_step
from quotebook.pricing.result import PurchaseFigures
from quotebook.pricing.stock import StockPlan


@dataclass(frozen=True)
class LinePrice:
    """The price and the lot minimum that hold for a line at one quantity; price None: unknown."""

    price: float | None
    minimum: float


@dataclass(frozen=True)
class Line:
    """What a purchase has whatever the lot: its own price and minimum, charges and markup."""

    name: str
    kind: str
    price: float | None
    minimum: float
    lot_charge: float
    freight: float
    markup_share: float


def stock_line(job: Job, shop: Shop) -> Line:
    """Return the stock as a line to buy."""
    stock = job.stock
    markup = shop.policy.stock_markup if stock.markup_share is None else stock.markup_share
    return Line(STOCK_LINE, "stock", stock.price, stock.supplier_minimum, 0.0, stock.freight, markup)


def buyout_line(row: Buyout, shop: Shop) -> Line:
    """Return a buyout as a line to buy."""
    policy = shop.policy.hardware_markup if row.kind == "hardware" else shop.policy.outside_markup
    markup = policy if row.markup_share is None else row.markup_share
    return Line(row.name, row.kind, row.price, row.lot_minimum, row.lot_charge, row.freight, markup)


def line_price(line: Line, units: int, job: Job, shop: Shop) -> LinePrice:
    """Return the price that holds for ``units``: the chosen supplier price from the largest quantity reached.

    Without such a row the line's own price holds. A chosen price in foreign money is an unknown price.
    """
    rows = [
        row
        for row in job.supplier_prices
        if row.chosen and name_key(row.line) == name_key(line.name) and row.from_quantity <= units
    ]
    if not rows:
        return LinePrice(line.price, line.minimum)
    best = max(rows, key=lambda row: row.from_quantity)
    price = best.price if is_shops_currency(best.currency, shop) else None
    return LinePrice(price, line.minimum if best.lot_minimum is None else best.lot_minimum)


def has_any_price(line: Line, job: Job) -> bool:
    """Tell whether a line has a price of its own or any chosen supplier price, at whatever quantity."""
    return line.price is not None or any(
        row.chosen and name_key(row.line) == name_key(line.name) for row in job.supplier_prices
    )


def packs(row: Buyout, quantity: int) -> int:
    """Return the packs of hardware that ``quantity`` good pieces need, attrition included."""
    return ceil_guarded(row.quantity_per_piece * quantity * (1 + row.attrition_share) / row.pack_size)


def purchase_figures(
    line: Line,
    units: float | None,
    step_units: int | None,
    per_price: float | None,
    job: Job,
    shop: Shop,
    missing: list[str],
) -> PurchaseFigures:
    """Return one purchase: the greater of minimum and units times price, plus charge and freight.

    ``per_price`` is how much of the price's unit one unit holds (lb in a bar; 1 for a price each).
    A price that is missing for this lot alone is added to ``missing``.
    """
    held = LinePrice(None, line.minimum) if step_units is None else line_price(line, step_units, job, shop)
    if step_units is not None and held.price is None and has_any_price(line, job):
        missing.append(f'"{line.name}" has no price for {step_units} units in the shop\'s currency.')
    unit_price = product(held.price, per_price)
    goods = product(unit_price, units)
    purchase = None if goods is None else max(held.minimum, goods) + line.lot_charge + line.freight
    sell = None if purchase is None else round_up_to_step(purchase * (1 + line.markup_share), shop.policy.purchase_step)
    return PurchaseFigures(
        line=line.name,
        kind=line.kind,
        units=units,
        step_units=step_units,
        unit_price=unit_price,
        minimum=held.minimum,
        markup_share=line.markup_share,
        purchase=purchase,
        sell=sell,
    )


def stock_purchase(job: Job, shop: Shop, plan: StockPlan, pieces_started: int, missing: list[str]) -> PurchaseFigures:
    """Return the stock bought for the pieces started; stock that is not bought costs nothing."""
    line = stock_line(job, shop)
    if not plan.bought:
        return PurchaseFigures(line.name, line.kind, 0.0, 0, 0.0, 0.0, line.markup_share, 0.0, 0.0)
    units, whole = plan.units_charged(pieces_started), plan.whole_units(pieces_started)
    return purchase_figures(line, units, whole, plan.per_price, job, shop, missing)


def buyout_purchase(
    row: Buyout, job: Job, shop: Shop, quantity: int, pieces_sent: int, missing: list[str]
) -> PurchaseFigures:
    """Return outside processing of the pieces sent, or the packs of hardware for the good pieces."""
    units = packs(row, quantity) if row.kind == "hardware" else pieces_sent
    return purchase_figures(buyout_line(row, shop), units, units, 1.0, job, shop, missing)
