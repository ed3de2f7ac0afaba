"""When a lot can be promised: working days one after the other, and what drives them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from quotebook.machining.working_days import add_working_days, working_days_late
from quotebook.model import STOCK_LINE, Job, Shop, name_key
from quotebook.pricing.money import ceil_guarded
from quotebook.pricing.result import LotPrice

USUAL_HOURS = 8.0


@dataclass(frozen=True)
class LeadTime:
    """Working days of one lot; ``promised`` None without a date of order, ``late`` None without a due date.

    ``unknown``: what nobody gave the days of; ``days`` are then those of the rest, and no date is promised.
    """

    machining_days: float | None
    days: int | None
    promised: date | None
    late: int | None
    unknown: tuple[str, ...] = ()


def lead_time(job: Job, shop: Shop, lot: LotPrice) -> LeadTime:
    """Return stock, queue, machining, outside steps, inspection and shipping in a row; or hardware, if it is later."""
    lead = job.lead
    unknown = days_not_given(job)
    machining = _machining(job, shop, lot)
    if machining is None:
        return LeadTime(None, None, None, None, unknown)
    stock = _supplier_days(job, STOCK_LINE) if lead.material_days is None else lead.material_days
    outside = sum(_supplier_days(job, row.name) for row in job.buyouts if row.kind == "outside processing")
    bought = max((_supplier_days(job, row.name) for row in job.buyouts if row.kind == "hardware"), default=0)
    made = stock + lead.queue_days + ceil_guarded(machining) + outside
    days = max(made, bought) + lead.inspection_days + lead.shipping_days
    start = lead.order_date or job.job.quote_date
    promised = None if start is None or unknown else add_working_days(start, days, shop.holidays)
    due = job.job.due_date
    late = None if promised is None or due is None else working_days_late(due, promised, shop.holidays)
    return LeadTime(machining, days, promised, late, unknown)


def days_not_given(job: Job) -> tuple[str, ...]:
    """Return what no chosen supplier price gives days for: "stock", "outside processing", "hardware"."""
    unknown = []
    if job.lead.material_days is None and job.stock.form not in (None, "no stock") and not _given(job, STOCK_LINE):
        unknown.append("stock")
    for kind in ("outside processing", "hardware"):
        if any(row.kind == kind and not _given(job, row.name) for row in job.buyouts):
            unknown.append(kind)
    return tuple(unknown)


def _given(job: Job, line: str) -> bool:
    return any(
        row.chosen and row.lead_days is not None for row in job.supplier_prices if name_key(row.line) == name_key(line)
    )


def _machining(job: Job, shop: Shop, lot: LotPrice) -> float | None:
    hours_a_day = {name_key(row.name): row.hours_per_day or USUAL_HOURS for row in shop.work_centers}
    days = 0.0
    for row, figures in zip(job.operations, lot.operations, strict=False):
        if figures.machine_hours is None:
            return None
        day = hours_a_day.get(name_key(row.work_center or ""), USUAL_HOURS)
        days += (figures.setup_hours + figures.machine_hours) / day
    return days


def _supplier_days(job: Job, line: str) -> int:
    chosen = [row for row in job.supplier_prices if row.chosen and name_key(row.line) == name_key(line)]
    return max((row.lead_days or 0 for row in chosen), default=0)
