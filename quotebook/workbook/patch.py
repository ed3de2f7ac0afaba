"""Writing a changed copy of a workbook: only the touched cells differ, every other part stays as it was.

Charts, images, validation, other people's sheets: all are carried over unread. The source is never written.
Results of other formulas are not recalculated here; the caller passes the fresh ones as ``NewResult``.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from quotebook.errors import BookError
from quotebook.values import Address
from quotebook.workbook.atomic import atomic_bytes, refuse_existing
from quotebook.workbook.calc_chain import without_calc_chain
from quotebook.workbook.change_rules import require_allowed
from quotebook.workbook.changes import Change, NewFormula, NewResult
from quotebook.workbook.package import Package, open_package
from quotebook.workbook.package_edit import PackageEdit
from quotebook.workbook.reader import snapshot_of
from quotebook.workbook.refusals import worded
from quotebook.workbook.sheet_edit import edit_sheet
from quotebook.workbook.snapshot import Snapshot
from quotebook.workbook.workbook_part import read_workbook_part

if TYPE_CHECKING:
    from quotebook.workbook.chart_maker import SheetChart


def write_copy(
    source: str | Path, target: str | Path, changes: Mapping[Address, Change], *, force: bool = False,
    charts: Mapping[str, Sequence[SheetChart]] | None = None,
) -> None:  # fmt: skip
    """Write a copy of ``source`` to ``target`` with the changes made. ``charts``: to be put on sheets, by title.

    Raises TargetExists (see ``force``), BookError for a change that would damage the workbook or a target
    that cannot be written, NotAWorkbook or UnsafeWorkbook for the source. On any error nothing is written.
    """
    source, target = Path(source), Path(target)
    _refuse_target(source, target, force)
    package = open_package(source)
    snapshot = snapshot_of(package)
    if snapshot.has_macros and target.suffix.lower() != source.suffix.lower():
        found = f"the ending {target.suffix!r} for a workbook with macros"
        raise BookError(worded(str(target), found, f"{source.suffix!r}", "keep the ending of the source"))
    atomic_bytes(target, changed_package(package, snapshot, changes, charts), force)


def changed_package(
    package: Package, snapshot: Snapshot, changes: Mapping[Address, Change],
    charts: Mapping[str, Sequence[SheetChart]] | None = None,
) -> bytes:  # fmt: skip
    """Return the bytes of the package with the changes made; ``snapshot`` is the package as read."""
    by_sheet: dict[str, dict[tuple[int, int], Change]] = {}
    for address, change in changes.items():
        sheet = require_allowed(snapshot, address, change)
        by_sheet.setdefault(sheet.title, {})[(address.row, address.column)] = change
    replaced: dict[str, bytes] = {}
    for title, own in by_sheet.items():
        sheet = next(sheet for sheet in snapshot.sheets if sheet.title == title)
        where = f"{package.path}, sheet {title}"
        date1904 = snapshot.calculation.date1904
        replaced[sheet.part] = edit_sheet(package.read(sheet.part), where, sheet, own, date1904)
    dropped: set[str] = set()
    if _moves_formulas(snapshot, changes):
        rewritten, dropped = without_calc_chain(package, read_workbook_part(package))
        replaced |= rewritten
    for title, own_charts in (charts or {}).items():
        from quotebook.workbook.added_charts import added_charts  # and with it the writer of charts

        replaced = added_charts(package, snapshot, title, own_charts, replaced)
    return PackageEdit(package, replaced).content(dropped)


def _refuse_target(source: Path, target: Path, force: bool) -> None:
    if target.exists() and source.exists() and os.path.samefile(source, target):
        raise BookError(worded(str(target), "the source itself", "another file", "choose another name for the copy"))
    refuse_existing(target, force)


def _moves_formulas(snapshot: Snapshot, changes: Mapping[Address, Change]) -> bool:
    """Tell whether a cell becomes, or ceases to be, a formula cell."""
    for address, change in changes.items():
        cell = snapshot.cell(address)
        had_formula = cell is not None and (cell.formula is not None or bool(cell.kind))
        if not isinstance(change, NewResult) and had_formula != isinstance(change, NewFormula):
            return True
    return False
