"""The customer copy: values alone, taken by an allow-list of fields, written into a workbook of their own.

Nothing is hidden in it, because nothing else was ever put in. Whatever speaks against sending it is found first.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from quotebook.engine import evaluate
from quotebook.engine.book import Evaluation, Status
from quotebook.errors import BookError
from quotebook.flows.locks import open_elsewhere_note
from quotebook.flows.office import pdf_of
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.refusals import Refusal, refusals
from quotebook.values import Address, Value
from quotebook.workbook.atomic import atomic_bytes, refuse_existing
from quotebook.workbook.customer_copy import CustomerCopy, Offered, customer_copy_bytes
from quotebook.workbook.generate import A4, LETTER
from quotebook.workbook.looks import MoneyLook

if TYPE_CHECKING:
    from quotebook.model import Job, Shop

SCHEMA = 1
_DAY_ZERO = datetime.date(1899, 12, 30)

#: The only fields of the workbook whose values a customer ever sees, with their labels.
HEAD = (
    ("Quotation number", "quote_number_printed"), ("Date", "quote_date_printed"), ("Valid until", "quote_valid_until"),
    ("For", "quote_customer"), ("Attention", "quote_contact"), ("Part", "quote_part"),
    ("Drawing revision", "quote_revision"), ("Material", "quote_material"),
    ("Finish, outside work", "quote_finish"), ("Lead time", "quote_lead"),
    ("Prices in", "quote_currency"),
)  # fmt: skip
PRICES = (
    "quote_unit_price", "quote_supplement", "quote_extended", "quote_nonrecurring", "quote_first_total",
    "quote_repeat_unit",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quoted:
    """What came of it. ``files`` is empty when the quotation was refused."""

    job: str
    files: tuple[Path, ...]
    draft: bool
    refusals: tuple[Refusal, ...]
    notes: tuple[str, ...]


def quote(
    path: Path,
    target: Path,
    *,
    anyway: bool = False,
    pdf: bool = True,
    today: datetime.date | None = None,
    force: bool = False,
) -> Quoted:
    """Write the customer copy of a job, and a PDF of it where LibreOffice is installed.

    ``anyway``: write it in spite of refusals, marked DRAFT on every page.
    Errors: BookError for an unreadable workbook, one without a contract, or a target that may not be written.
    """
    opened = open_workbook(path)
    if opened.contract is None or opened.located is None or "quote_extended" not in opened.located.fields:
        raise BookError(
            f"{path}: found no Quote sheet made by quotebook, expected a job workbook; make one: quotebook new"
        )
    _refuse_targets(path, target, pdf, force)
    evaluation = evaluate(opened.book)
    against = refusals(opened, evaluation, today or datetime.date.today())
    if against and not anyway:
        return Quoted(str(path), (), False, against, ())
    if opened.job is None or opened.shop is None:
        return Quoted(str(path), (), True, against, ("its inputs are no valid job, so not even a draft can be made",))
    copy = customer_copy(opened, evaluation, opened.job, opened.shop, draft=bool(against))
    content = customer_copy_bytes(copy)
    atomic_bytes(target, content, force)
    files, notes = [target], open_elsewhere_note(path)
    if pdf:
        printed, why_not = pdf_of(content)
        if printed is None:
            notes.append(f"no PDF: {why_not}")
        else:
            files.append(target.with_suffix(".pdf"))
            atomic_bytes(files[-1], printed, force)
    return Quoted(str(path), tuple(files), bool(against), against, tuple(notes))


def customer_copy(opened: Opened, evaluation: Evaluation, job: Job, shop: Shop, *, draft: bool) -> CustomerCopy:
    """Return what the customer is told, field by field of the allow-list."""
    read = _reader(opened, evaluation)
    assert opened.located is not None
    head = []
    for label, name in HEAD:
        text = _text(read(name, 0), (name.endswith(("printed", "until")) and "date" in name) or name.endswith("until"))
        if text:
            head.append((label, text))
    prices = []
    for row in range(opened.located.fields["quote_line"].rows):
        line = read("quote_line", row)
        if isinstance(line, str) and line:
            prices.append(Offered(line, *(_amount(read(name, row)) for name in PRICES)))
    step = shop.policy.price_step
    return CustomerCopy(
        sender=(shop.shop.name, shop.shop.address, shop.shop.contact),
        head=tuple(head),
        prices=tuple(prices),
        terms=_terms(job, shop, read),
        money=MoneyLook.of(shop.money.currency_symbol, shop.money.decimals, step),
        draft=draft,
        paper=LETTER if job.job.units == "in" else A4,
    )


def _terms(job: Job, shop: Shop, read: Callable[[str, int], Value]) -> tuple[str, ...]:
    """Return the sentences of the offer, in the words of the Quote sheet."""
    head = job.job
    charging = head.nonrecurring_charging or shop.policy.nonrecurring_charging
    if not read("nonrecurring_full", 0):
        once = "No nonrecurring work."
    elif charging == "spread":
        over = f"{head.spread_quantity} pieces" if head.spread_quantity else "each lot's own quantity"
        once = f"Nonrecurring work is spread over {over} and is inside the unit price."
    else:
        once = "Nonrecurring work is paid once, with the first order of this revision."
    freight = "Freight is inside the price."
    if head.freight_terms == "customer's account":
        freight = "Freight is for the customer's account."
    offer = "Firm until the date above, for this drawing revision and these quantities."
    if head.offer == "budgetary":
        offer = "Budgetary price for planning; this is not an offer."
    prepared = f"Prepared by {head.prepared_by}" if head.prepared_by else ""
    return once, freight, offer, head.quote_terms, prepared


def _reader(opened: Opened, evaluation: Evaluation) -> Callable[[str, int], Value]:
    assert opened.located is not None
    fields = opened.located.fields

    def read(name: str, row: int) -> Value:
        placed = fields.get(name)
        if placed is None:
            return None
        result = evaluation.results.get(Address(placed.sheet, placed.row + row, placed.column))
        return result.value if result is not None and result.status is Status.EVALUATED else None

    return read


def _text(value: Value, is_date: bool) -> str:
    if isinstance(value, float):
        if is_date:
            return (_DAY_ZERO + datetime.timedelta(days=int(value))).isoformat()
        return f"{value:.15g}"
    return "" if value is None else str(value)


def _amount(value: Value) -> float | str:
    return value if isinstance(value, float | str) else "on request"


def _refuse_targets(source: Path, target: Path, pdf: bool, force: bool) -> None:
    if target.suffix.lower() != ".xlsx":
        raise BookError(
            f"{target}: found the ending {target.suffix!r}, expected .xlsx; choose another name for the copy"
        )
    if target.resolve() == source.resolve():
        raise BookError(f"{target}: found the job itself, expected another file; choose another name for the copy")
    refuse_existing(target, force)
    if pdf:
        refuse_existing(target.with_suffix(".pdf"), force)
