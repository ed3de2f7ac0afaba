"""One file of a batch: read, judged, and boiled down to a record. Runs in a worker process and never raises."""

from __future__ import annotations

import datetime
from hashlib import sha256
from pathlib import Path

from quotebook.engine import evaluate
from quotebook.engine.book import Evaluation, Status
from quotebook.errors import QuotebookError
from quotebook.flows.identity import reference_of
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recompute import Recomputed, judge
from quotebook.flows.records import (
    AnswerRecord,
    BidRecord,
    FileRecord,
    JobRecord,
    LotRecord,
    PriceRecord,
)
from quotebook.flows.returns import is_request, read_return
from quotebook.values import Address, Value
from quotebook.workbook.file_kinds import SUMMARY_MARK
from quotebook.workbook.row_memory import RowMemory


def digest_of(path: Path) -> tuple[str, int]:
    """Return the digest of a file's content and its size. Errors: OSError."""
    data = path.read_bytes()
    return sha256(data).hexdigest(), len(data)


def read_one(path: Path, memory: RowMemory | None = None) -> FileRecord:
    """Return the record of one file; whatever goes wrong with it becomes the record's reason.

    ``memory``: shared by the readings of a batch, which makes them faster.
    """
    try:
        digest, size = digest_of(path)
    except OSError as error:
        found = f"a file that cannot be read ({error.strerror or error})"
        return FileRecord(str(path), "", 0, "failed", f"{path.name}: found {found}; check its permissions")
    try:
        return _record(path, digest, size, memory)
    except QuotebookError as error:
        return FileRecord(str(path), digest, size, "failed", str(error))
    except MemoryError:
        return FileRecord(str(path), digest, size, "failed", f"{path.name}: too large for the memory of this machine")
    except RecursionError:
        return FileRecord(str(path), digest, size, "failed", f"{path.name}: nested deeper than quotebook can follow")
    except Exception as error:  # a fault of ours in one file must not cost the other files of the batch
        told = f"{path.name}: quotebook failed on it ({type(error).__name__}: {error}); please report this file"
        return FileRecord(str(path), digest, size, "failed", told)


def _record(path: Path, digest: str, size: int, memory: RowMemory | None) -> FileRecord:
    opened = open_workbook(path, memory)
    record = FileRecord(str(path), digest, size, "foreign")
    if opened.contract is None:
        made = opened.snapshot.custom_properties
        record.reason = (
            "a summary made by quotebook"
            if SUMMARY_MARK in made
            else f"no contract of quotebook; made by {opened.snapshot.application or 'an unnamed program'}"
        )
        return record
    if not opened.contract.intact:
        record.notes.append("the contract sheet was edited: what it promises cannot be trusted")
    if is_request(opened):
        record.kind, record.answer = "supplier answer", _answer(opened, record.notes)
        return record
    evaluation = evaluate(opened.book)
    judged = judge(opened, evaluation)
    record.kind, record.job = "job", _job(opened, evaluation, judged)
    record.notes.extend(opened.problems)
    record.notes.extend(judged.notes)
    return record


def _answer(opened: Opened, notes: list[str]) -> AnswerRecord:
    returned = read_return(opened)
    notes.extend(returned.notes)
    bids = [
        BidRecord(
            bid.item, bid.line, bid.quantity, bid.unit, bid.basis, bid.price, bid.lot_minimum, bid.pack_size,
            bid.lead_days, _iso(bid.valid_until), bid.currency, bid.alternates, bid.remarks, bid.declined, bid.reason,
            "; ".join(bid.problems),
        )
        for bid in returned.bids
    ]  # fmt: skip
    reference = str(returned.reference) if returned.reference else returned.reference_text
    return AnswerRecord(returned.supplier, reference, returned.answer_reference, _iso(returned.answer_date), bids)


class _Fields:
    """Values of named fields as recomputed; unknown ones are None."""

    def __init__(self, opened: Opened, evaluation: Evaluation) -> None:
        assert opened.located is not None
        self.fields = opened.located.fields
        self.results = evaluation.results
        self.inputs = opened.book.inputs

    def value(self, name: str, lot: int = 0) -> Value:
        placed = self.fields.get(name)
        if placed is None:
            return None
        address = Address(placed.sheet, placed.row, placed.column + lot)
        result = self.results.get(address)
        if result is None:
            return self.inputs.get(address)
        return result.value if result.status is Status.EVALUATED else None

    def number(self, name: str, lot: int = 0) -> float | None:
        value = self.value(name, lot)
        return value if isinstance(value, float) else None

    def text(self, name: str) -> str:
        value = self.value(name)
        if isinstance(value, float):
            return f"{value:.15g}"
        return "" if value is None else str(value)

    def lots(self) -> range:
        placed = self.fields.get("lot_size")
        return range(1, placed.columns if placed else 0)


def _job(opened: Opened, evaluation: Evaluation, judged: Recomputed) -> JobRecord:
    seen = _Fields(opened, evaluation)
    job = opened.job
    day = job.job.quote_date if job is not None else None
    actual_cost = seen.number("actual_cost")
    has_actuals = job is not None and (job.actuals.good_pieces is not None or job.actuals.invoiced is not None)
    token = ""
    if job is not None and (job.job.part_number.strip() or job.job.quote_number.strip()):
        reference = reference_of(job, "")
        token = f"{reference.job}-{reference.revision}"
    differs = judged.disagreements[0] if judged.disagreements else None
    decision = seen.text("fit_decision")
    return JobRecord(
        customer=seen.text("customer_name"),
        part_number=seen.text("part_number"),
        part_name=seen.text("part_name"),
        revision=seen.text("part_revision"),
        quote_number=seen.text("quote_number"),
        quote_date=_iso(day),
        currency=seen.text("currency_code"),
        decision=decision,
        status=_status(judged, decision, has_actuals, actual_cost, opened),
        saved_by=opened.snapshot.properties.get("lastModifiedBy", ""),
        application=opened.snapshot.application,
        agreement={True: "agree", False: "disagree", None: "not fully judged"}[judged.agree],  # type: ignore[arg-type]
        disagreements=len(judged.disagreements),
        unknown=len(judged.unknown),
        first_difference="" if differs is None else f"{differs.cell} {differs.field}: {differs.reason}",
        nonrecurring_hours=sum(row.hours for row in job.nonrecurring) if job is not None else None,
        invoiced=seen.number("actual_revenue") if has_actuals else None,
        actual_cost=actual_cost if has_actuals else None,
        actual_margin=seen.number("actual_margin") if has_actuals else None,
        estimated_margin=seen.number("actual_estimated_margin") if has_actuals else None,
        verdict=seen.text("actual_verdict") if has_actuals else "",
        token=token,
        lots=_lots(seen),
        prices=_prices(opened, day),
    )


def _status(judged: Recomputed, decision: str, has_actuals: bool, actual_cost: float | None, opened: Opened) -> str:
    if opened.job is None:
        return "inputs not valid"
    if has_actuals:
        return "closed out" if actual_cost is not None else "actuals incomplete"
    if decision == "no-go":
        return "no-go"
    if not judged.prices or any(row.unit_price is None for row in judged.prices):
        return "incomplete"
    return "priced"


def _lots(seen: _Fields) -> list[LotRecord]:
    lots = []
    for lot in seen.lots():
        quantity = seen.number("lot_size", lot)
        if quantity:
            figures = [
                seen.number(name, lot)
                for name in (
                    "unit_price", "extended_price", "nonrecurring_due", "first_order_total", "lot_cost", "lot_margin",
                    "lot_setup_hours", "machine_hours", "attended_hours", "inspection_hours",
                )
            ]  # fmt: skip
            lots.append(LotRecord(int(quantity), *figures))
    return lots


def _prices(opened: Opened, day: datetime.date | None) -> list[PriceRecord]:
    if opened.job is None:
        return []
    return [
        PriceRecord(
            row.line, row.supplier, row.reference, row.from_quantity, row.price, row.lot_minimum, row.lead_days,
            _iso(row.valid_until), row.currency, row.chosen, row.remark,
            bool(row.valid_until and day and row.valid_until < day),
        )
        for row in opened.job.supplier_prices
    ]  # fmt: skip


def _iso(day: datetime.date | None) -> str | None:
    return None if day is None else day.isoformat()
