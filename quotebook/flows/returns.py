"""A request that came back: the supplier's answer as data, every doubtful cell named and never guessed at.

Texts of suppliers are handled as texts only; a link or a formula in them has no effect anywhere.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from quotebook.flows.identity import Reference, read_item, read_reference
from quotebook.flows.opening import Opened

TEMPLATE = "supplier-request"


@dataclass(slots=True)
class Bid:
    """One row of an answer. ``problems``: why it cannot be used; ``price`` None: none was given."""

    item: str
    line: str
    token: str
    quantity: int
    unit: str = ""
    basis: str = ""
    price: float | None = None
    lot_minimum: float | None = None
    pack_size: float | None = None
    lead_days: int | None = None
    valid_until: datetime.date | None = None
    currency: str = ""
    alternates: str = ""
    remarks: str = ""
    declined: bool = False
    reason: str = ""
    problems: list[str] = field(default_factory=list)

    @property
    def answered(self) -> bool:
        """Tell whether the supplier said anything about this row."""
        return self.price is not None or self.declined or bool(self.problems)


@dataclass(slots=True)
class Returned:
    """A whole answer; ``notes`` say what was odd about the file as a whole."""

    file: str
    supplier: str
    reference: Reference | None
    reference_text: str
    answer_reference: str = ""
    answer_date: datetime.date | None = None
    bids: list[Bid] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def is_request(opened: Opened) -> bool:
    """Tell whether a workbook is a request made by quotebook, filled in or not."""
    return opened.located is not None and "request_reference" in opened.located.fields


def read_return(opened: Opened) -> Returned:
    """Return the answer in an opened request."""
    assert opened.inputs is not None
    data = opened.inputs.data
    request, answer = data.get("request", {}), data.get("answer", {})
    text = _words(request.get("reference"))
    out = Returned(opened.snapshot.path.name, _words(request.get("supplier")), read_reference(text), text)
    if opened.contract is not None and not opened.contract.intact:
        out.notes.append("its contract sheet was edited")
    if opened.located is not None and opened.located.lost:
        out.notes.append(f"these fields cannot be found any more: {', '.join(sorted(opened.located.lost))}")
    if out.reference is None:
        out.notes.append(
            f"found the reference {text!r}, expected one like R-3FA2B91C-9A1B-77C2; nothing can be matched"
        )
    out.answer_reference = _words(answer.get("reference"))
    out.answer_date = _date(answer.get("date"), "date of the answer", out.notes)
    deadline = _date(request.get("answer_by"), "answer by", out.notes)
    if deadline is not None and out.answer_date is not None and out.answer_date > deadline:
        out.notes.append(f"answered on {out.answer_date}, after {deadline} as asked")
    valid = _date(answer.get("valid_until"), "prices valid until", out.notes)
    currency = _words(answer.get("currency"))
    rows = request.get("line", [])
    for row in rows if isinstance(rows, list) else []:
        if isinstance(row, Mapping) and (bid := _bid(row, out)) is not None:
            bid.valid_until = bid.valid_until or valid
            bid.currency = (bid.currency or currency).upper()
            out.bids.append(bid)
    return out


def _bid(row: Mapping[str, Any], out: Returned) -> Bid | None:
    identity = read_item(_words(row.get("id")))
    line = _words(row.get("line"))
    if identity is None:
        answered = [key for key in ("price", "lot_minimum", "remarks") if row.get(key) is not None]
        if answered:
            out.notes.append(f"a row for {line or 'no line'!r} has no identity, so its answer is left out")
        return None
    token, quantity = identity
    bid = Bid(_words(row.get("id")), line, token, quantity, _words(row.get("unit")), _words(row.get("basis")))
    problems = bid.problems
    bid.price = _number(row.get("price"), "price", problems)
    bid.lot_minimum = _number(row.get("lot_minimum"), "lot minimum", problems)
    bid.pack_size = _number(row.get("pack_size"), "pack size", problems)
    days = _number(row.get("lead_days"), "lead time", problems)
    if days is not None and not days.is_integer():
        problems.append(f"lead time: found {days:g}, expected whole days")
    bid.lead_days = int(days) if days is not None and days.is_integer() else None
    bid.valid_until = _date(row.get("valid_until"), "valid until", problems)
    bid.currency = _words(row.get("currency"))
    bid.alternates, bid.remarks = _words(row.get("alternates")), _words(row.get("remarks"))
    bid.reason = _words(row.get("reason"))
    declined = row.get("declined")
    bid.declined = declined is True or _words(declined).lower() in ("yes", "y", "x", "no bid")
    asked = row.get("quantity")
    if asked != quantity:
        problems.append(f"quantity: found {asked!r}, expected {quantity} as asked; the row was changed")
    if bid.declined and bid.price is not None:
        problems.append("found a price and no bid in one row, expected one of them; ask the supplier")
    return bid


def _number(value: Any, what: str, problems: list[str]) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        problems.append(f"{what}: found {str(value)[:60]!r}, expected a number; ask the supplier")
        return None
    if value < 0:
        problems.append(f"{what}: found {value:g}, expected 0 or more; ask the supplier")
        return None
    return float(value)


def _date(value: Any, what: str, problems: list[str]) -> datetime.date | None:
    if value is None or isinstance(value, datetime.date):
        return value
    if isinstance(value, str):
        try:
            return datetime.date.fromisoformat(value.strip())
        except ValueError:
            pass
    problems.append(f"{what}: found {str(value)[:60]!r}, expected a date as 2031-05-20; ask the supplier")
    return None


def _words(value: Any) -> str:
    return "" if value is None else str(value).strip()
