"""Supplier lines side by side: for each job, line and quantity every supplier's offer, the best, what is missing.

Prices come from the Supplier prices sheets of the jobs and from returned requests that belong to them.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, field

from quotebook.flows.records import BidRecord, FileRecord, JobRecord


@dataclass(slots=True)
class Quoted:
    """What one supplier says about a line at a quantity. ``state``: "", "no bid", "expired", "missing", ..."""

    price: float | None
    currency: str
    state: str
    minimum: float | None = None

    def shown(self) -> str | float | None:
        """Return what stands in the summary's cell: a price that counts, or a text."""
        if self.price is None or self.state:
            amount = "" if self.price is None else f" {self.price:g} {self.currency}".rstrip()
            return f"{self.state or 'missing'}{amount}"
        return self.price


@dataclass(slots=True)
class LineRow:
    """One line of one job at one quantity, with what each supplier says."""

    job: str
    part: str
    revision: str
    line: str
    quantity: int
    currency: str
    offers: dict[str, Quoted] = field(default_factory=dict)

    def best(self) -> tuple[str, float] | None:
        """Return supplier and price of the cheapest usable price; minimums count as they fall on the units."""
        usable = [
            (max(one.price, (one.minimum or 0.0) / self.quantity if self.quantity else 0.0), supplier, one.price)
            for supplier, one in self.offers.items()
            if one.price is not None and not one.state
        ]
        if not usable:
            return None
        _, supplier, price = min(usable)
        return supplier, price

    def told(self, state: str) -> str:
        """Return the suppliers whose word on this line begins with ``state``."""
        return ", ".join(name for name, one in self.offers.items() if one.state.startswith(state))


def supplier_lines(records: Iterable[FileRecord], today: datetime.date) -> list[LineRow]:
    """Return the rows, job by job. A price counts if it holds on the quotation's date, or today where there is none."""
    listed = list(records)
    rows: dict[tuple[str, str, int], LineRow] = {}
    by_token: dict[str, list[tuple[str, JobRecord]]] = {}
    for record in listed:
        if record.job is not None:
            if record.job.token:
                by_token.setdefault(record.job.token, []).append((record.path, record.job))
            for price in record.job.prices:
                row = _row(rows, record.path, record.job, price.line, price.from_quantity)
                state = "expired" if _expired(price.valid_until, record.job, today) else ""
                if price.price is None:
                    state = "no bid" if price.remark.startswith("no bid") else "missing"
                state = state or _foreign(price.currency, record.job)
                row.offers[price.supplier or "(unnamed)"] = Quoted(
                    price.price, price.currency, state, price.lot_minimum
                )
    for record in listed:
        if record.answer is None:
            continue
        token = record.answer.reference.removeprefix("R-")[:13]
        for path, job in by_token.get(token, []):
            for bid in record.answer.bids:
                row = _row(rows, path, job, bid.line, bid.quantity)
                row.offers.setdefault(record.answer.supplier, _quoted(bid, job, today))
    return [rows[key] for key in sorted(rows)]


def _row(rows: dict[tuple[str, str, int], LineRow], path: str, job: JobRecord, line: str, quantity: int) -> LineRow:
    key = (path, line.casefold(), quantity)
    if key not in rows:
        rows[key] = LineRow(path, job.part_number, job.revision, line, quantity, job.currency)
    return rows[key]


def _quoted(bid: BidRecord, job: JobRecord, today: datetime.date) -> Quoted:
    state = ""
    if bid.problem:
        state = "not usable"
    elif bid.declined:
        state = "no bid"
    elif bid.price is None:
        state = "missing"
    elif _expired(bid.valid_until, job, today):
        state = "expired"
    else:
        state = _foreign(bid.currency, job)
    return Quoted(bid.price, bid.currency, state, bid.lot_minimum)


def _foreign(currency: str, job: JobRecord) -> str:
    return "other currency" if currency.strip().upper() not in ("", job.currency.upper()) else ""


def _expired(valid_until: str | None, job: JobRecord, today: datetime.date) -> bool:
    return valid_until is not None and valid_until < (job.quote_date or today.isoformat())
