"""Returned prices into a copy of the job: matched by identity, judged, chosen with a reason, nothing else changed."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from quotebook.engine import evaluate
from quotebook.errors import BookError
from quotebook.flows.choosing import Offer, choose, same_row, terms_of
from quotebook.flows.identity import line_token, reference_of
from quotebook.flows.locks import open_elsewhere_note
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recompute import fresh_results
from quotebook.flows.request import valid_job_of
from quotebook.flows.returns import Returned
from quotebook.model import STOCK_LINE, name_key
from quotebook.values import Address, Value
from quotebook.workbook.atomic import refuse_existing
from quotebook.workbook.changes import Change, NewInput
from quotebook.workbook.dates import serial_of
from quotebook.workbook.patch import write_copy

if TYPE_CHECKING:
    from quotebook.model import Job

_COLUMNS = {
    "line": "supplier_line", "supplier": "supplier_name", "reference": "supplier_reference",
    "from_quantity": "supplier_from", "price": "supplier_price", "lot_minimum": "supplier_minimum",
    "lead_days": "supplier_lead_days", "valid_until": "supplier_valid_until", "currency": "supplier_currency",
    "chosen": "supplier_chosen", "remark": "supplier_remark",
}  # fmt: skip

CellValue = Value | datetime.date


@dataclass(frozen=True, slots=True)
class Merged:
    """What the merge did. ``offers``: one for each row that was answered; ``refused``: files that were left out."""

    job: str
    target: str
    offers: tuple[Offer, ...]
    refused: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]

    @property
    def all_usable(self) -> bool:
        """Tell whether every file and every answered row could be used as it came."""
        bad = ("not usable", "other currency", "expired", "other pack")
        return not self.refused and not any(offer.state in bad for offer in self.offers)


def merge_returns(
    job_file: Path,
    returned: Sequence[Returned],
    target: Path,
    *,
    today: datetime.date | None = None,
    force: bool = False,
) -> Merged:
    """Write a copy of the job with the returned prices on its Supplier prices sheet.

    ``today``: the day on which prices must hold where the job has no quotation date.
    Errors: BookError for an unreadable job, a full sheet, or a target that may not be written; InputError when the
    job's own inputs are not valid.
    """
    refuse_existing(target, force)
    opened = open_workbook(job_file)
    job, shop = valid_job_of(opened, job_file)
    notes = open_elsewhere_note(job_file)
    kept, refused = _for_this_job(job, returned, notes)
    offers, lost = _offers(job, kept, notes)
    replaced = frozenset(
        index for index, row in enumerate(job.supplier_prices) if any(same_row(row, offer) for offer in offers)
    )
    choose(offers, job, terms_of(job, shop, today or datetime.date.today()), replaced)
    inputs = _cells(opened, job, offers, notes)
    write_copy(job_file, target, _with_results(opened, inputs), force=force)
    return Merged(str(job_file), str(target), tuple(offers), (*refused, *lost), tuple(notes))


def _for_this_job(
    job: Job, returned: Iterable[Returned], notes: list[str]
) -> tuple[list[Returned], list[tuple[str, str]]]:
    """Return the answers to be merged, the latest of each supplier, and the files left out with the reason."""
    refused: list[tuple[str, str]] = []
    latest: dict[str, Returned] = {}
    for one in sorted(returned, key=lambda one: (one.answer_date or datetime.date.min, one.file)):
        reference = one.reference
        if reference is None:
            refused.append((one.file, f"no reference of ours in it (found {one.reference_text!r}); not merged"))
            continue
        own = reference_of(job, one.supplier)
        if reference.job != own.job:
            refused.append((one.file, f"{reference} is for another job; not merged"))
        elif reference.revision != own.revision:
            refused.append((one.file, f"{reference} is for another revision than {job.job.revision!r}; not merged"))
        elif reference.supplier != own.supplier:
            refused.append((one.file, f"the supplier's name was changed to {one.supplier!r}; not merged"))
        else:
            earlier = latest.get(reference.supplier)
            if earlier is not None:
                dates = f"{earlier.answer_date or 'no date'} and {one.answer_date or 'no date'}"
                refused.append((earlier.file, f"returned twice ({dates}); the later, {one.file}, is used"))
            latest[reference.supplier] = one
    for one in latest.values():
        notes.extend(f"{one.file}: {note}" for note in one.notes)
    return list(latest.values()), refused


def _offers(job: Job, kept: Sequence[Returned], notes: list[str]) -> tuple[list[Offer], list[tuple[str, str]]]:
    lines = {line_token(name): name for name in (STOCK_LINE, *(row.name for row in job.buyouts))}
    offers: list[Offer] = []
    lost: list[tuple[str, str]] = []
    for one in kept:
        seen: set[str] = set()
        for bid in one.bids:
            if not bid.answered:
                notes.append(f"{one.supplier}: no answer for {bid.line}, {bid.quantity}")
                continue
            line = lines.get(bid.token)
            if line is None:
                lost.append((one.file, f"the line {bid.line!r} does not exist any more in the job; not merged"))
            elif bid.item.upper() in seen:
                lost.append((one.file, f"{bid.line}, {bid.quantity}: the row stands twice; the first is used"))
            else:
                seen.add(bid.item.upper())
                offers.append(Offer(one, bid, line))
    return offers, list(dict.fromkeys(lost))


def _cells(opened: Opened, job: Job, offers: Sequence[Offer], notes: list[str]) -> dict[Address, CellValue]:
    """Return the input cells to write: each offer in its row, and rows that are not chosen any more."""
    assert opened.located is not None
    assert opened.inputs is not None
    fields = {word: opened.located.fields[name] for word, name in _COLUMNS.items() if name in opened.located.fields}
    if "line" not in fields or "price" not in fields:
        raise BookError(
            f"{opened.snapshot.path}, Supplier prices: found no columns for line and price, expected those of the "
            "template; their defined names are lost, so make a new workbook with: quotebook new --like"
        )
    table = fields["line"]
    places = opened.inputs.places
    rows_of = [_row_of(places, index) for index in range(len(job.supplier_prices))]
    used = {row for row in rows_of if row is not None}
    free = [row for row in range(table.row, table.row + table.rows) if row not in used]
    cells: dict[Address, CellValue] = {}
    for offer in sorted(offers, key=lambda one: (name_key(one.line), one.bid.quantity, one.returned.supplier)):
        index = next((i for i, row in enumerate(job.supplier_prices) if same_row(row, offer)), None)
        row = rows_of[index] if index is not None else None
        if row is None:
            if not free:
                raise BookError(
                    f"{opened.snapshot.path}, Supplier prices: found no free row for {len(offers)} prices, expected "
                    f"more than {table.rows} rows; make the workbook with more: --rows supplier_prices={table.rows * 2}"
                )
            row = free.pop(0)
        for word, value in _row_values(offer).items():
            if word in fields:
                cells[Address(table.sheet, row, fields[word].column)] = value
    _release(job, offers, rows_of, fields, cells, notes)
    return cells


def _release(
    job: Job,
    offers: Sequence[Offer],
    rows_of: Sequence[int | None],
    fields: Mapping[str, object],
    cells: dict[Address, CellValue],
    notes: list[str],
) -> None:
    """Take back the choice of an earlier row that stands in the way of a chosen offer, and say so beside it."""
    from quotebook.template.plan import Placed

    for offer in offers:
        for index, row in enumerate(job.supplier_prices):
            clash = row.chosen and name_key(row.line) == name_key(offer.line)
            if not (offer.chosen and clash and row.from_quantity == offer.bid.quantity) or same_row(row, offer):
                continue
            place, number = fields.get("chosen"), rows_of[index]
            if isinstance(place, Placed) and number is not None:
                address = Address(place.sheet, number, place.column)
                if address in cells:
                    continue
                cells[address] = "no"
                told = f"no longer chosen: {offer.returned.supplier} is better from {row.from_quantity}"
                remark = fields.get("remark")
                if isinstance(remark, Placed):
                    cells[Address(remark.sheet, number, remark.column)] = told
                notes.append(f"{row.line}, {row.supplier or 'no supplier'}: {told}")


def _row_of(places: Mapping[tuple[str | int, ...], Address], index: int) -> int | None:
    start = ("job", "supplier_price", index)
    return next((address.row for path, address in places.items() if path[:3] == start), None)


def _row_values(offer: Offer) -> dict[str, CellValue]:
    bid, returned = offer.bid, offer.returned
    more = [f"alternate: {bid.alternates}"] if bid.alternates else []
    more += [f"remark: {bid.remarks}"] if bid.remarks else []
    return {
        "line": offer.line,
        "supplier": returned.supplier,
        "reference": returned.answer_reference or returned.reference_text,
        "from_quantity": float(bid.quantity),
        "price": bid.price,
        "lot_minimum": bid.lot_minimum,
        "lead_days": None if bid.lead_days is None else float(bid.lead_days),
        "valid_until": bid.valid_until,
        "currency": bid.currency or None,
        "chosen": "yes" if offer.chosen else "no",
        "remark": "; ".join([offer.why, *more])[:1000],
    }


def _with_results(opened: Opened, inputs: Mapping[Address, CellValue]) -> dict[Address, Change]:
    """Return the typed cells together with the stored results that they change, so that every sheet follows."""
    date1904 = opened.snapshot.calculation.date1904
    known = dict(opened.book.inputs)
    for address, value in inputs.items():
        if value is None:
            known.pop(address, None)
        else:
            known[address] = serial_of(value, date1904) if isinstance(value, datetime.date) else value
    book = replace(opened.book, inputs=known)
    changes: dict[Address, Change] = {address: NewInput(value) for address, value in inputs.items()}
    changes.update(fresh_results(replace(opened, book=book), evaluate(book)))
    return changes
