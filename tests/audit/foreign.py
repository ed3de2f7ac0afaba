"""Small workbooks without a contract for cases of checks: cells in, findings of one check out."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from quotebook.audit.finding import Finding
from quotebook.audit.registry import check_named
from quotebook.audit.runner import audit_view
from quotebook.audit.view import BookView
from quotebook.flows.opening import open_workbook
from quotebook.workbook.snapshot import Snapshot
from tests.audit.homemade import saved


@dataclass(frozen=True)
class Case:
    """A workbook, or a change to one as read, and the cells on which the check must speak ("" for the workbook).

    ``cells``: by address, with the sheet before it where it is not the first ("Rates!A1"). ``formats``: number formats.
    """

    cells: Mapping[str, Any]
    finds: tuple[str, ...] = ()
    formats: Mapping[str, str] = field(default_factory=dict)
    shape: Callable[[Workbook], None] | None = None
    snapshot: Mapping[str, Any] = field(default_factory=dict)
    effect: float | None = None
    #: Parts added to the package, and a text of the first sheet's part with what takes its place.
    parts: Mapping[str, str] = field(default_factory=dict)
    in_sheet: tuple[str, str] | None = None


def written(case: Case) -> Workbook:
    """Return the workbook of a case."""
    book = Workbook()
    book.active.title = "Quote"
    for place, value in case.cells.items():
        title, _, address = place.rpartition("!")
        if title and title not in book.sheetnames:
            book.create_sheet(title)
        sheet = book[title or "Quote"]
        sheet[address] = value
        if isinstance(value, str) and value.startswith("'="):
            sheet[address] = value[1:]
            sheet[address].data_type = "s"
    for place, code in case.formats.items():
        book["Quote"][place].number_format = code
    if case.shape is not None:
        case.shape(book)
    return book


def viewed(case: Case, folder: Path) -> BookView:
    """Return the workbook of a case as checks see it, with stored results."""
    path = saved(written(case), folder / "case.xlsx")
    if case.parts or case.in_sheet:
        path = _rewritten(path, folder / "changed.xlsx", case)
    opened = open_workbook(path)
    snapshot: Snapshot = replace(opened.snapshot, **case.snapshot) if case.snapshot else opened.snapshot
    return BookView(snapshot, opened.book)


def _rewritten(source: Path, target: Path, case: Case) -> Path:
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if case.in_sheet is not None and name == "xl/worksheets/sheet1.xml":
                before, after = (text.encode() for text in case.in_sheet)
                assert before in data, "the text to be replaced is not there"
                data = data.replace(before, after)
            new.writestr(name, data)
        for name, text in case.parts.items():
            new.writestr(name, text)
    return target


def found(case: Case, check: str, folder: Path) -> tuple[Finding, ...]:
    """Return what one check says of a case."""
    registered = check_named(check)
    assert registered is not None, f"there is no check {check}"
    return audit_view(viewed(case, folder), [registered]).findings
