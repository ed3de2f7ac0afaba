"""Why a job must not be quoted as it stands: in the audit, in the fit decision, in a price missing or expired."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quotebook.audit.runner import audit_view
from quotebook.engine.book import Evaluation
from quotebook.flows.audit import view_of
from quotebook.flows.opening import Opened
from quotebook.flows.recompute import judge
from quotebook.model import STOCK_LINE, name_key
from quotebook.pricing import JobPrice, fit_check, price_job

if TYPE_CHECKING:
    from quotebook.model import Job, Shop, SupplierPrice


@dataclass(frozen=True, slots=True)
class Refusal:
    """One reason not to send a quotation: what kind, and the sentence."""

    kind: str
    sentence: str


def refusals(opened: Opened, evaluation: Evaluation, today: datetime.date) -> tuple[Refusal, ...]:
    """Return every reason why a job workbook must not be quoted; none: it may go out.

    ``today``: prices must hold on this day and on the quotation's date, whichever is the later.
    """
    found = [*_from_audit(opened), *_from_engines(opened, evaluation)]
    if opened.job is None or opened.shop is None:
        return (*found, *(Refusal("inputs", problem) for problem in opened.problems))
    job, shop = opened.job, opened.shop
    found.extend(Refusal("inputs", problem) for problem in opened.problems)
    price = price_job(job, shop)
    found.extend(Refusal("missing", reason) for reason in price.all_missing)
    if not price.lots:
        found.append(Refusal("missing", "no quantity is given, so there is nothing to quote"))
    found.extend(_expired(job, shop, price, today))
    fit = fit_check(job, shop)
    if fit.decision == "no-go":
        reasons = " ".join(row.sentence for row in fit.criteria if row.state == "does not fit")
        found.append(Refusal("no-go", f"the fit decision is no-go: {reasons}"))
    return tuple(found)


def _from_audit(opened: Opened) -> list[Refusal]:
    """Return the audit's findings of the two highest levels, worst first."""
    audited = audit_view(view_of(opened))
    return [
        Refusal(
            "audit", f"{one.check} at {one.sheet} {one.cells}: found {one.found}, expected {one.expected}; {one.mend}"
        )
        for one in audited.findings
        if one.severity.is_grave
    ]


def _from_engines(opened: Opened, evaluation: Evaluation) -> list[Refusal]:
    judged = judge(opened, evaluation)
    told = [
        Refusal("engines", f"{one.cell} ({one.field}): {one.between} differ, {one.reason}")
        for one in judged.disagreements[:10]
    ]
    told += [Refusal("unknown", f"{one.cell or one.field}: {one.reason}") for one in judged.unknown[:10] if one.cell]
    return told


def _expired(job: Job, shop: Shop, price: JobPrice, today: datetime.date) -> list[Refusal]:
    """Return the chosen prices that a lot needs and that no longer hold."""
    day = max(today, job.job.quote_date or today)
    found: dict[tuple[str, int], Refusal] = {}
    for lot in price.lots:
        for bought in lot.purchases:
            row = _price_row(job, bought.line, bought.step_units)
            if row is not None and row.valid_until is not None and row.valid_until < day:
                told = f"{row.line}, {row.supplier or 'no supplier'}, from {row.from_quantity}: the price expired on "
                said = f"{told}{row.valid_until}, needed on {day}; ask again, or choose another"
                found[name_key(row.line), row.from_quantity] = Refusal("expired", said)
    return list(found.values())


def _price_row(job: Job, line: str, units: int | None) -> SupplierPrice | None:
    if units is None or (line == STOCK_LINE and job.stock.form in ("customer supplied", "no stock")):
        return None
    rows = [
        row
        for row in job.supplier_prices
        if row.chosen and name_key(row.line) == name_key(line) and row.from_quantity <= units
    ]
    return max(rows, key=lambda row: row.from_quantity) if rows else None
