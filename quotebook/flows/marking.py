"""A copy of an audited workbook with its findings marked in it."""

from __future__ import annotations

import os
from pathlib import Path

from quotebook.errors import BookError
from quotebook.flows.audit import FileAudit
from quotebook.flows.findings_sheet import TITLE, WIDTHS, is_list, list_rows, marks_of, own_grounds, tag_line
from quotebook.values import Address
from quotebook.workbook.atomic import atomic_bytes, refuse_existing
from quotebook.workbook.marking import Earlier, Mark, marked_package
from quotebook.workbook.package import open_package
from quotebook.workbook.reader import snapshot_of
from quotebook.workbook.refusals import worded
from quotebook.workbook.snapshot import Snapshot


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
    atomic_bytes(target, marked_bytes(audit), force)


def marked_bytes(audit: FileAudit) -> bytes:
    """Return the marked copy of a workbook that was read; marks that it carries already are replaced."""
    assert audit.view is not None, "only a workbook that was read can be marked"
    package = open_package(audit.view.path)
    snapshot = snapshot_of(package)
    earlier = Earlier(own_grounds(snapshot), next((one.part for one in snapshot.sheets if is_list(one)), ""))
    marks = {
        place: Mark(mark.color, f"{mark.note}\n\n{tag_line(_ground(snapshot, earlier, place))}")
        for place, mark in marks_of(audit.findings).items()
    }
    return marked_package(package, snapshot, marks, TITLE, list_rows(audit.findings), WIDTHS, earlier)


def _ground(snapshot: Snapshot, earlier: Earlier, place: Address) -> str:
    """Return the cell's ground without any mark: RRGGBB, or "" for none or one that the file names by a palette."""
    if place in earlier.grounds:
        return earlier.grounds[place]
    cell = snapshot.cell(place)
    color = snapshot.styles[cell.style].fill_color if cell is not None else ""
    return "" if ":" in color else color
