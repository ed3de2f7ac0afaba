"""Asking suppliers: one workbook for each, made from nothing but the lines that this supplier can serve."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from quotebook.errors import BookError, InputError, QuotebookError
from quotebook.flows.identity import item_id, reference_of
from quotebook.flows.locks import open_elsewhere_note
from quotebook.flows.new import Made, fill_template, new_file
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.wanted import WantedLine, wanted_lines
from quotebook.workbook.atomic import refuse_existing
from quotebook.workbook.generate import A4, LETTER
from quotebook.workbook.looks import MoneyLook

if TYPE_CHECKING:
    from quotebook.model import Job, Shop
    from quotebook.model.suppliers import Supplier, SupplierList

TEMPLATE = "supplier-request"
SCHEMA = 1


@dataclass(frozen=True, slots=True)
class Request:
    """One request written: to whom, under which reference, where, and what it asks."""

    supplier: str
    reference: str
    file: Path
    lines: tuple[str, ...]
    rows: int


@dataclass(frozen=True, slots=True)
class Requests:
    """All requests of a job; ``notes`` say which line or supplier went without one, ``open_lines`` names the lines."""

    job: str
    requests: tuple[Request, ...]
    notes: tuple[str, ...]
    open_lines: tuple[str, ...] = ()


def request_prices(
    path: Path, suppliers: SupplierList, folder: Path, *, date: datetime.date | None = None, force: bool = False
) -> Requests:
    """Write a request workbook for each supplier that can serve a line of the job.

    ``date``: the day of the request, today by default.
    Errors: BookError for an unreadable workbook or a target that exists; InputError when its inputs make no valid job.
    """
    job, shop = valid_job(path)
    lines, notes = wanted_lines(job, shop)
    day = date or datetime.date.today()
    planned: list[tuple[Supplier, Path, tuple[WantedLine, ...]]] = []
    said = [*notes, *open_elsewhere_note(path)]
    for supplier in suppliers.suppliers:
        own = tuple(line for line in lines if supplier.can_quote(line.line, line.kind))
        if not own:
            said.append(f"{supplier.name}: serves no line of this job, so nothing is asked")
            continue
        name = f"{reference_of(job, supplier.name)} {_file_words(supplier.name)}.xlsx"
        planned.append((supplier, folder / name, own))
    asked = {line.line for _, _, own in planned for line in own}
    alone = tuple(line.line for line in lines if line.line not in asked)
    said.extend(f"{line}: no supplier on the list serves it" for line in alone)
    for _, target, _ in planned:
        refuse_existing(target, force)
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for supplier, target, own in planned:
        made = make_request(job, shop, supplier, own, suppliers, day)
        new_file(target, made, force=force)
        rows = sum(len(line.quantities) for line in own)
        reference = str(reference_of(job, supplier.name))
        written.append(Request(supplier.name, reference, target, tuple(line.line for line in own), rows))
    open_lines = (*alone, *(note.split(":")[0] for note in notes))
    return Requests(str(path), tuple(written), tuple(said), open_lines)


def make_request(
    job: Job, shop: Shop, supplier: Supplier, lines: Sequence[WantedLine], many: SupplierList, date: datetime.date
) -> Made:
    """Return the request workbook for one supplier. Only the texts named here go into it."""
    reference = str(reference_of(job, supplier.name))
    request: dict[str, Any] = {
        "reference": reference,
        "sender": shop.shop.name,
        "address": shop.shop.address,
        "contact": shop.shop.contact,
        "supplier": supplier.name,
        "date": date,
        "answer_by": many.answer_by,
        "note": many.note,
        "line": [row for line in lines for row in _rows(line)],
    }
    rows = {"request_lines": max(len(request["line"]), 1)}
    paper = LETTER if job.job.units == "in" else A4
    data: Mapping[str, Any] = {"request": request, "answer": {}}
    return fill_template(TEMPLATE, data, MoneyLook("", 2, 4), paper, rows)


def valid_job(path: Path) -> tuple[Job, Shop]:
    """Return the job and the shop profile inside a workbook.

    Errors: BookError when it cannot be read or carries no job; InputError with every problem of its inputs.
    """
    return valid_job_of(open_workbook(path), path)


def valid_job_of(opened: Opened, path: Path) -> tuple[Job, Shop]:
    """Return job and shop of an opened workbook; see ``valid_job``."""
    if opened.contract is None:
        raise BookError(
            f"{path}: found a workbook without a contract of quotebook, expected a job workbook; "
            "make one with: quotebook new"
        )
    if opened.job is None or opened.shop is None:
        problems = opened.problems or ("it holds no job; it may be a request to a supplier",)
        raise InputError(str(path), list(problems))
    return opened.job, opened.shop


def suppliers_named(names: Sequence[str], known: SupplierList | None) -> SupplierList:
    """Return the suppliers to ask: those of the list, or those named; a name that is not on the list gets every line.

    Errors: QuotebookError when nobody is named at all.
    """
    from quotebook.model import name_key
    from quotebook.model.suppliers import Supplier, SupplierList

    listed = known or SupplierList()
    if not names:
        if not listed.suppliers:
            raise QuotebookError(
                "request: found no supplier, expected at least one; "
                "give a list with --suppliers FILE or names with --supplier NAME"
            )
        return listed
    by_key = {name_key(one.name): one for one in listed.suppliers}
    chosen = tuple(by_key.get(name_key(name)) or Supplier(name=name) for name in names)
    return listed.model_copy(update={"suppliers": chosen})


def _rows(line: WantedLine) -> list[dict[str, Any]]:
    return [
        {
            "id": item_id(line.line, quantity),
            "line": line.line,
            "kind": line.kind,
            "what": line.what,
            "certificate": line.certificate,
            "quantity": quantity,
            "unit": line.unit,
            "basis": line.basis,
        }
        for quantity in line.quantities
    ]


def _file_words(name: str) -> str:
    return re.sub(r"[^\w .-]+", "", name).strip(" .")[:60] or "supplier"
