"""Which field of the workbook says the same as which figure behind the price: cutting, setup, stock, risk, dates.

Like ``elements`` a list of pairs without arithmetic of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from quotebook.flows.elements import Key
from quotebook.pricing.built_rates import built_hour, rates_in_force
from quotebook.pricing.cutting import LineFigures, line_figures
from quotebook.pricing.doubles import costs_in_two_places
from quotebook.pricing.inspection import sampling_risk
from quotebook.pricing.lead_time import days_not_given, lead_time
from quotebook.pricing.risk import lot_risk
from quotebook.pricing.setup import built_up_setup_hours, setup_hours
from quotebook.pricing.usual import job_in_force, suggested_size, usual_stock_price
from quotebook.pricing.weights import least_allowance, lot_weights
from quotebook.values import Value

if TYPE_CHECKING:
    from quotebook.flows.opening import Opened
    from quotebook.model import Job, Shop
    from quotebook.pricing import JobPrice

_LINE: dict[str, Callable[[LineFigures], float | None]] = {
    "cutting_minutes": lambda row: row.minutes,
    "cut_rpm": lambda row: row.rpm,
    "cut_minutes": lambda row: row.cut_minutes,
    "cut_power": lambda row: row.power,
    "cut_torque": lambda row: row.torque,
    "cut_share": lambda row: row.share_of_feed,
    "cut_life": lambda row: row.tool_life,
    "cut_tool_cost": lambda row: row.tool_cost,
}


@dataclass(frozen=True)
class Rows:
    """Where the lists of a job stand in the workbook, rows from 0; ``breaks`` counts quantity breaks from 1."""

    breaks: tuple[int, ...]
    operations: tuple[int, ...]
    cutting: tuple[int, ...]
    centers: tuple[int, ...]


def rows_of(opened: Opened) -> Rows:
    """Return where the lists stand in a workbook with a contract, rows that people inserted included."""
    assert opened.inputs is not None
    assert opened.located is not None
    places, fields = opened.inputs.places, opened.located.fields

    def rows(field: str, *path: str, key: str = "") -> tuple[int, ...]:
        # A field whose name is lost gave no input, so its rows are never asked for.
        first = fields[field].row if field in fields else 0
        return tuple(
            sorted(
                address.row - first
                for place, address in places.items()
                if place[: len(path)] == path and (not key or place[-1] == key)
            )
        )

    return Rows(
        breaks=tuple(row + 1 for row in rows("break_quantity", "job", "job", "quantities")),
        operations=rows("operation_number", "job", "operation", key="number"),
        cutting=rows("cutting_operation", "job", "cutting", key="operation"),
        centers=rows("work_center_name", "shop", "work_center", key="name"),
    )


def trade_values(job: Job, shop: Shop, price: JobPrice, rows: Rows) -> Mapping[Key, Value]:
    """Return what the reference says for each field, lot and row; None is unknown."""
    values: dict[Key, Value] = {}
    for center, row in zip(shop.work_centers, rows.centers, strict=True):
        hour = built_hour(center, shop)
        values["build_cost", None, row] = None if hour is None else hour.total
    shop = rates_in_force(shop)
    usual_price = usual_stock_price(job, shop)
    values["stock_usual_price", None, None] = None if usual_price is None else usual_price[0]
    job = job_in_force(job, shop)
    for center, row in zip(shop.work_centers, rows.centers, strict=True):
        values["work_center_cost_used", None, row] = center.cost_rate
        values["work_center_sell_used", None, row] = center.sell_rate
    for operation, row in zip(job.operations, rows.operations, strict=True):
        values["setup_computed", None, row] = built_up_setup_hours(operation, shop)
        values["setup_hours", None, row] = setup_hours(operation, shop)
        values["setup_base_used", None, row] = operation.setup_base_hours
        values["touch_offs_used", None, row] = float(operation.touch_offs or 0)
        values["load_used", None, row] = operation.load_minutes
        values["setup_holding_used", None, row] = operation.work_holding or ""
    for name in ("size_a", "size_b", "piece_length", "facing", "kerf", "bar_length", "grip"):
        values[f"stock_{name}_used", None, None] = getattr(job.stock, name)
    values["stock_next_size", None, None] = suggested_size(job, shop)
    values["double_count", None, None] = float(len(costs_in_two_places(job)))
    values["lead_unknown", None, None] = ", ".join(days_not_given(job))
    values["stock_allowance", None, None] = least_allowance(job)
    for lot, number in [(price.first_piece, 0), *zip(price.lots, rows.breaks, strict=True)]:
        sampled = sampling_risk(job.inspection, lot.quantity)
        values["producers_risk", number, None] = None if sampled is None else sampled.producer
        values["customers_risk", number, None] = None if sampled is None else sampled.customer
        lead = lead_time(job, shop, lot)
        values["lead_machining_days", number, None] = lead.machining_days
        if not price.missing and lead.days is not None:
            values["lead_days_total", number, None] = float(lead.days)
            dated = job.lead.order_date or job.job.quote_date
            not_known = "not known" if lead.unknown and dated else None
            promised = not_known if lead.promised is None else serial_day(lead.promised)
            values["lead_promised", number, None] = promised
            values["lead_late", number, None] = None if lead.late is None else float(lead.late)
        weights, risk = lot_weights(job, shop, lot), lot_risk(job, lot)
        values["stock_bought_weight", number, None] = weights.bought
        values["stock_lost_weight", number, None] = weights.lost
        values["stock_buy_to_fly", number, None] = weights.buy_to_fly
        values["risk_cost_mean", number, None] = risk.mean
        values["risk_spread", number, None] = risk.spread
        values["risk_cost_not_passed", number, None] = risk.p80
        values["risk_chance_of_loss", number, None] = risk.loss_chance
    for line, row in zip(job.cutting, rows.cutting, strict=True):
        figures = line_figures(line, job, shop)
        for name, figure in _LINE.items():
            value = figure(figures)
            values[name, None, row] = None if value is None else float(value)
        values["cutting_changes_used", None, row] = float(line.tool_changes or 0)
        values["cutting_rapid_used", None, row] = line.rapid_length
        for name in ("diameter", "length", "width", "depth"):
            size = getattr(line, name)
            values[f"cutting_{name}_used", None, row] = "" if size is None else size
        if figures.lacking:
            values["cut_missing", None, row] = ", ".join(figures.lacking)
    return values


def serial_day(day: date) -> float:
    """Return a date as a cell holds it (1900 system)."""
    return float((day - date(1899, 12, 30)).days)
