"""What a batch keeps of each file: plain data without any workbook behind it, the same in JSON and in the book.

Unknown figures are None. Dates are texts as 2031-05-20, so that a record can be written down anywhere.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, Literal

FileKind = Literal["job", "supplier answer", "foreign", "failed"]


@dataclass(slots=True)
class LotRecord:
    """One quantity of a job, as recomputed from the file's own formulas."""

    quantity: int
    unit_price: float | None
    extended_price: float | None
    nonrecurring: float | None
    first_order_total: float | None
    cost: float | None
    margin: float | None
    setup_hours: float | None
    machine_hours: float | None
    attended_hours: float | None
    inspection_hours: float | None


@dataclass(slots=True)
class PriceRecord:
    """A row of a job's Supplier prices sheet."""

    line: str
    supplier: str
    reference: str
    from_quantity: int
    price: float | None
    lot_minimum: float | None
    lead_days: int | None
    valid_until: str | None
    currency: str
    chosen: bool
    remark: str
    expired: bool


@dataclass(slots=True)
class BidRecord:
    """A row of a supplier's answer. ``problem``: why it cannot be used as it came; "" if it can."""

    item: str
    line: str
    quantity: int
    unit: str
    basis: str
    price: float | None
    lot_minimum: float | None
    pack_size: float | None
    lead_days: int | None
    valid_until: str | None
    currency: str
    alternates: str
    remarks: str
    declined: bool
    reason: str
    problem: str


@dataclass(slots=True)
class AnswerRecord:
    """A request that came back (or was never filled in: then no bid has a price)."""

    supplier: str
    reference: str
    answer_reference: str
    answer_date: str | None
    bids: list[BidRecord] = field(default_factory=list)


@dataclass(slots=True)
class JobRecord:
    """A job workbook. ``agreement``: of the three engines; ``token``: how requests name this job and revision."""

    customer: str
    part_number: str
    part_name: str
    revision: str
    quote_number: str
    quote_date: str | None
    currency: str
    decision: str
    status: str
    saved_by: str
    application: str
    agreement: Literal["agree", "disagree", "not fully judged"]
    disagreements: int
    unknown: int
    first_difference: str
    nonrecurring_hours: float | None
    invoiced: float | None
    actual_cost: float | None
    actual_margin: float | None
    estimated_margin: float | None
    verdict: str
    token: str
    lots: list[LotRecord] = field(default_factory=list)
    prices: list[PriceRecord] = field(default_factory=list)


@dataclass(slots=True)
class FileRecord:
    """One file of a batch. ``reason``: why it failed or is foreign. ``open_elsewhere`` is told, never kept."""

    path: str
    digest: str
    size: int
    kind: FileKind
    reason: str = ""
    notes: list[str] = field(default_factory=list)
    job: JobRecord | None = None
    answer: AnswerRecord | None = None
    open_elsewhere: bool = False

    def as_data(self) -> dict[str, Any]:
        """Return the record in the words of the JSON schema."""
        return asdict(self)


def record_from(data: dict[str, Any]) -> FileRecord:
    """Return a record from the data that ``as_data`` gave."""
    job, answer = data.get("job"), data.get("answer")
    if job is not None:
        lots = [LotRecord(**row) for row in job["lots"]]
        prices = [PriceRecord(**row) for row in job["prices"]]
        job = JobRecord(**{**job, "lots": lots, "prices": prices})
    if answer is not None:
        answer = AnswerRecord(**{**answer, "bids": [BidRecord(**row) for row in answer["bids"]]})
    return FileRecord(**{**data, "job": job, "answer": answer})
