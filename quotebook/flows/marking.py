"""A copy of an audited workbook with its findings marked in it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from quotebook.audit.finding import Finding
from quotebook.audit.place import area_of
from quotebook.errors import BookError
from quotebook.flows.audit import FileAudit
from quotebook.values import Address
from quotebook.workbook.areas import cell_name
from quotebook.workbook.atomic import atomic_bytes, refuse_existing
from quotebook.workbook.marking import Link, SheetRow, marked_package
from quotebook.workbook.package import open_package
from quotebook.workbook.refusals import worded

TITLE = "Audit findings"
#: Cells that one finding marks at most.
MOST_MARKS = 500
#: Hatching of the two graver and of the two lesser levels.
GRAVE, LESSER = "C0392B", "B7950B"
_HEADINGS = (
    "No.", "level", "check", "where", "field", "found", "expected", "effect on price", "evidence", "how to mend",
)  # fmt: skip
_WIDTHS = (5, 16, 26, 22, 24, 34, 34, 14, 60, 60)


def write_marked(audit: FileAudit, target: Path, *, force: bool = False) -> None:
    """Write a copy of the audited workbook with a mark on each cell found and a sheet of findings with links.

    Errors: BookError where the file could not be read, TargetExists unless ``force``.
    """
    if audit.view is None:
        raise BookError(worded(audit.file, "a file that could not be read", "a workbook", "see its reason"))
    source = audit.view.path
    if target.exists() and os.path.samefile(source, target):
        raise BookError(worded(str(target), "the source itself", "another file", "choose another name for the copy"))
    if target.suffix.lower() != source.suffix.lower():
        ending = repr(target.suffix)
        raise BookError(worded(str(target), f"the ending {ending}", repr(source.suffix), "keep the source's ending"))
    refuse_existing(target, force)
    marks: dict[Address, str] = {}
    for finding in audit.findings:
        color = GRAVE if finding.severity.is_grave else LESSER
        for address in _cells(finding):
            marks.setdefault(address, color)
    rows: list[SheetRow] = [list(_HEADINGS), *(_row(number, one) for number, one in enumerate(audit.findings, start=1))]
    package = open_package(source)
    content = marked_package(package, audit.view.snapshot, marks, TITLE, rows, _WIDTHS)
    atomic_bytes(target, content, force)


def _cells(finding: Finding) -> Iterator[Address]:
    area = area_of(finding.cells)
    if area is None:
        return
    count = 0
    for row in range(area.first_row, area.last_row + 1):
        for column in range(area.first_column, area.last_column + 1):
            if count >= MOST_MARKS:
                return
            count += 1
            yield Address(finding.sheet, row, column)


def _row(number: int, finding: Finding) -> SheetRow:
    area = area_of(finding.cells)
    first = cell_name(area.first_row, area.first_column) if area is not None else ""
    where: str | Link = "the workbook" if not first else Link(f"{finding.sheet} {finding.cells}", finding.sheet, first)
    effect: str | float = "unknown" if finding.effect_on_price is None else finding.effect_on_price
    evidence = "; ".join(map(str, finding.evidence))
    return [
        float(number), finding.severity.value, finding.check, where, finding.field, finding.found, finding.expected,
        effect, evidence, finding.mend,
    ]  # fmt: skip
