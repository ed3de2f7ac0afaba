"""Days and dates by hand; days that nobody gave are told and no date is promised. Common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from quotebook.flows.trade_elements import Rows, trade_values
from quotebook.model import Buyout, Job, Lead, Stock, SupplierPrice
from quotebook.pricing import price_job
from quotebook.pricing.lead_time import days_not_given, lead_time
from tests.cross.unfiled import REST, cell, layout, shown
from tests.samples import golden_job, golden_shop

ROWS = {
    "quantity_breaks": 6, "routing": 6, "cutting": 8, "buyouts": 6, "supplier_prices": 10, "nonrecurring": 4,
    "hand_rates": 4, "work_centers": 4, "materials": 4, **REST,
}  # fmt: skip
COAT, PINS = Buyout(name="Coat", kind="outside processing", price=1.0), Buyout(name="Pins", kind="hardware", price=2.0)


def offer(line: str, days: int | None, chosen: bool = True) -> SupplierPrice:
    return SupplierPrice(line=line, supplier="S (invented)", price=1.0, lead_days=days, chosen=chosen)


def job_with(offers: tuple[SupplierPrice, ...], lead: Lead) -> Job:
    job = golden_job()
    head = job.job.model_copy(update={"quote_date": date(2031, 3, 3), "due_date": None})
    stock = Stock(form="round bar") if job.stock.form is None else job.stock
    return job.model_copy(
        update={"job": head, "stock": stock, "buyouts": (COAT, PINS), "supplier_prices": offers, "lead": lead}
    )


ALL = (offer("Stock", 5), offer("Coat", 4), offer("Pins", 30))
LEAD = Lead(queue_days=2, inspection_days=1, shipping_days=1)
CASES = [
    (ALL, LEAD, ()),
    (ALL[1:], LEAD, ("stock",)),
    (ALL[1:], Lead(material_days=0), ()),
    ((offer("Stock", None), *ALL[1:]), LEAD, ("stock",)),
    ((offer("Stock", 3, chosen=False), *ALL[1:]), LEAD, ("stock",)),
    (ALL[:1], LEAD, ("outside processing", "hardware")),
    ((), LEAD, ("stock", "outside processing", "hardware")),
]


@pytest.mark.parametrize(("offers", "lead", "unknown"), CASES)
def test_what_nobody_gave_is_told_in_the_reference_and_in_the_workbook(
    offers: tuple[SupplierPrice, ...], lead: Lead, unknown: tuple[str, ...]
) -> None:
    job, shop = job_with(offers, lead), golden_shop()
    assert days_not_given(job) == unknown
    plan = layout(tuple(ROWS.items()))
    results = shown(plan, shop, job)
    assert results[cell(plan, "lead_unknown", None, None)] == ", ".join(unknown)
    price = price_job(job, shop)
    found = lead_time(job, shop, price.lots[0])
    promised = results[cell(plan, "lead_promised", None, 1)]
    assert (found.promised is None) == bool(unknown)
    assert isinstance(promised, str) == bool(unknown)
    rows = Rows((1,), tuple(range(len(job.operations))), (), tuple(range(len(shop.work_centers))))
    reference = trade_values(job, shop, replace(price, lots=price.lots[:1]), rows)["lead_promised", 1, None]
    assert promised == reference


def test_thirty_days_of_hardware_pass_everything_else() -> None:
    """By hand: 30 for the pins against 5 + 2 + machining + 4, then 1 to inspect and 1 to ship: 32 working days."""
    job, shop = job_with(ALL, LEAD), golden_shop()
    assert lead_time(job, shop, price_job(job, shop).lots[0]).days == 32
