"""Auditing workbooks: each file read once, all checks called on it, findings folded, ranked and accepted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from quotebook.audit.accept import Acceptance, split_accepted
from quotebook.audit.finding import Finding
from quotebook.audit.runner import NotJudged, audit_view
from quotebook.audit.view import BookView
from quotebook.audit.whose import Whose
from quotebook.clock import AUDIT_SECONDS, OutOfTime, began, within
from quotebook.errors import BookError, InputError
from quotebook.flows.companions import all_whose, others_of
from quotebook.flows.opening import Opened, open_workbook
from quotebook.values import Address
from quotebook.workbook.areas import parse_cell, split_place
from quotebook.workbook.refusals import worded

SCHEMA = 1


@dataclass(slots=True)
class FileAudit:
    """The result for one file. ``error`` is set, and everything else empty, when it could not be read.

    ``findings``: the worst first. ``accepted``: findings kept quiet by the accept file. ``view``: the workbook itself,
    for reports that draw it; None when it could not be read.
    """

    file: str
    error: str | None = None
    findings: tuple[Finding, ...] = ()
    not_judged: tuple[NotJudged, ...] = ()
    accepted: tuple[Finding, ...] = ()
    view: BookView | None = field(default=None, repr=False)


def audit_file(
    path: Path,
    *,
    price: str | None = None,
    accepted: Sequence[Acceptance] = (),
    now: datetime | None = None,
    others: Sequence[Whose] = (),
) -> FileAudit:
    """Audit one workbook.

    ``price``: the cell that says the price, as ``Sheet!B7`` or, on the first sheet, ``B7``. ``accepted``: findings to
    be kept quiet while their cells hold what they held. ``now``: the moment that TODAY and NOW answer. ``others``:
    whose the other files of the call are.
    Errors: InputError when ``price`` names no cell of the workbook; a file that cannot be read is told in ``error``.
    """
    since = began()
    try:
        with within(AUDIT_SECONDS, since):
            opened = open_workbook(path)
    except BookError as error:
        return FileAudit(str(path), error=str(error))
    except OutOfTime:
        found, wanted = f"more than {AUDIT_SECONDS:g} s of reading", "a workbook that is read within that time"
        return FileAudit(str(path), error=worded(str(path), found, wanted, "a quote takes a tenth of it"))
    view = view_of(opened, price=price, now=now, others=others)
    audited = audit_view(view, since=since)
    left, quiet = split_accepted(view, audited.findings, accepted)
    return FileAudit(str(path), None, left, audited.not_judged, quiet, view)


def audit_all(
    paths: Sequence[Path], *, price: str | None = None, accepted: Sequence[Acceptance] = ()
) -> Iterator[FileAudit]:
    """Yield the audit of each file in turn; one file's trouble never stops the others.

    Whose each file is, is read before the first is audited, so that what is found does not hang on their order.
    """
    known = all_whose(paths)
    for path in paths:
        yield audit_file(path, price=price, accepted=accepted, others=others_of(path, known))


def view_of(
    opened: Opened, *, price: str | None = None, now: datetime | None = None, others: Sequence[Whose] = ()
) -> BookView:
    """Return what the checks are given for an opened workbook; see ``audit_file``."""
    return BookView(
        opened.snapshot,
        opened.book,
        contract=opened.contract,
        located=opened.located,
        inputs=opened.inputs,
        job=opened.job,
        shop=opened.shop,
        problems=opened.problems,
        price=None if price is None else _price_cell(opened, price),
        now=now,
        others=others,
    )


def _price_cell(opened: Opened, text: str) -> Address:
    title, cell = split_place(text)
    sheet = opened.snapshot.sheet(title) if title else opened.snapshot.sheets[0]
    key = parse_cell(cell.upper())
    if sheet is None or key is None:
        titles = ", ".join(one.title for one in opened.snapshot.sheets)
        wanted = f"a cell such as Price!B7 on one of the sheets {titles}"
        raise InputError("--price", [f"found {text!r}, expected {wanted}"])
    return Address(sheet.title, *key)
