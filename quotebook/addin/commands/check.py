"""Check this workbook: the audit, told as a list, as marks and in one box."""

from __future__ import annotations

from typing import Any

from quotebook.addin.talk import Answer, CellNote, Listing, Request
from quotebook.flows.audit import FileAudit, audit_file
from quotebook.flows.audit_words import verdict
from quotebook.flows.findings_sheet import TINTS, TITLE, WIDTHS, list_rows, marks_of
from quotebook.workbook.list_sheet import Link, SheetRow

#: Checks that could not judge, of which the box tells the reasons.
MOST_REASONS = 3


def answer(request: Request) -> Answer:
    """Audit the workbook and say what is to be shown."""
    audit = audit_file(request.workbook)
    if audit.error is not None:
        return Answer(f"{request.name} was not checked: {audit.error}", "error")
    grave = any(finding.severity.is_grave for finding in audit.findings)
    return Answer(
        _box(request, audit),
        "warning" if grave else "info",
        replace_marks=True,
        marks=[
            CellNote(place.sheet, place.row, place.column, TINTS[mark.color], mark.note)
            for place, mark in marks_of(audit.findings).items()
        ],
        listing=Listing(TITLE, plain_rows(list_rows(audit.findings)), WIDTHS) if audit.findings else None,
        gone=() if audit.findings else (TITLE,),
    )


def plain_rows(rows: list[SheetRow]) -> list[list[Any]]:
    """Return the rows of a list as the shell reads them."""
    return [[_plain(value) for value in row] for row in rows]


def _plain(value: str | float | Link | None) -> Any:
    return {"text": value.text, "sheet": value.sheet, "cell": value.cell} if isinstance(value, Link) else value


def _box(request: Request, audit: FileAudit) -> str:
    lines = [f"{request.name}: {verdict(audit)}"]
    if audit.findings:
        lines.append(f'The last sheet, "{TITLE}", lists them; each row leads to its cell (hold Ctrl and click).')
        lines.append("The note on a marked cell says how to mend it. Mend, then check again.")
    else:
        lines.append("No marks are left.")
    lines += [f"Not judged: {one.check}: {one.reason}" for one in audit.not_judged[:MOST_REASONS]]
    return "\n\n".join(lines)
