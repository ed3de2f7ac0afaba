"""Everything about a job's price that does not depend on the lot, worked out once."""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.model import Job, Shop
from quotebook.pricing.buying import buyout_line, has_any_price, stock_line
from quotebook.pricing.extras import edge_costs
from quotebook.pricing.inspection import check_inspection
from quotebook.pricing.nonrecurring import NonrecurringPlan, plan_nonrecurring
from quotebook.pricing.routing import SMALLEST_YIELD, OperationPlan, plan_operations, yields_to_end
from quotebook.pricing.stock import StockPlan, plan_stock
from quotebook.pricing.terms import Terms, terms_of


@dataclass(frozen=True)
class JobPlan:
    """A job with its terms, operations, stock and nonrecurring worked out; ``missing`` is what it lacks."""

    job: Job
    shop: Shop
    terms: Terms
    operations: tuple[OperationPlan, ...]
    stock: StockPlan
    nonrecurring: NonrecurringPlan
    edges: tuple[float, ...]
    missing: tuple[str, ...]

    @property
    def yields_nothing(self) -> bool:
        """Tell whether practically no piece survives the routing."""
        shares = [row.scrap_share for row in self.operations]
        return bool(shares) and yields_to_end(shares)[0] < SMALLEST_YIELD


def plan_job(job: Job, shop: Shop) -> JobPlan:
    """Return the plan of a job in a shop."""
    terms = terms_of(job, shop)
    missing: list[str] = []
    if not job.job.quantities:
        missing.append("No quantity is given.")
    if not job.operations and not job.buyouts:
        missing.append("There is neither an operation nor a buyout.")
    if terms.factor is None and terms.cost_plus:
        missing.append("A margin of 100 % or more has no price; lower the profit share.")
    operations = plan_operations(job, shop, missing)
    stock = plan_stock(job, shop, terms, missing)
    if stock.bought and job.stock.form is not None and not has_any_price(stock_line(job, shop), job):
        missing.append("The stock has no price.")
    for row in job.buyouts:
        if not has_any_price(buyout_line(row, shop), job):
            missing.append(f'"{row.name}" has no price.')
    check_inspection(job, shop, missing)
    nonrecurring = plan_nonrecurring(job, shop, terms, missing)
    return JobPlan(job, shop, terms, operations, stock, nonrecurring, edge_costs(job, shop), tuple(missing))
