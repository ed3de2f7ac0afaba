"""A workbook that people filled in and did not spoil has no grave finding; nor has it after another program saved it.

Grave findings that are true of the entries themselves (a lot sold under its cost, an offer in another currency) are no
false alarms: random figures make such jobs.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from quotebook.audit.runner import audit_view
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from tests.audit.contract_base import base_view, write_base
from tests.libreoffice import needs_libreoffice, recalculate
from tests.made import FEW_ROWS, write_workbook
from tests.office_bridge import drive
from tests.strategies import complete_jobs, shops

JOBS = 4
TRUE_OF_ENTRIES = {"lot-under-cost", "foreign-currency"}


def draw_files(folder: Path) -> list[Path]:
    """Random complete jobs, each in a workbook."""
    files: list[Path] = []

    @seed(4)
    @settings(
        max_examples=JOBS, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(st.data())
    def draw(data: st.DataObject) -> None:
        shop = data.draw(shops())
        job = data.draw(complete_jobs(shop))
        rows = {"quantity_breaks": max(FEW_ROWS["quantity_breaks"], len(job.job.quantities))}
        files.append(write_workbook(folder / f"job-{len(files)}.xlsx", shop, job, rows))

    draw()
    return files


def grave(path: Path) -> list[str]:
    view = view_of(open_workbook(path))
    findings = [one for one in audit_view(view).findings if one.severity.is_grave]
    return [f"{path.name} {one.check} {one.sheet}!{one.cells}: {one.found}" for one in findings
            if one.check not in TRUE_OF_ENTRIES]  # fmt: skip


def test_an_untouched_workbook_has_no_grave_finding(tmp_path: Path) -> None:
    files = draw_files(tmp_path)
    assert len(files) == JOBS
    assert [line for path in files for line in grave(path)] == []


@pytest.mark.libreoffice
@needs_libreoffice
def test_nor_has_it_after_libreoffice_saved_it(tmp_path: Path) -> None:
    files = draw_files(tmp_path)
    copies = recalculate(files, tmp_path / "saved")
    assert len(copies) == JOBS
    assert [line for path in copies.values() for line in grave(path)] == []


@pytest.mark.libreoffice
@needs_libreoffice
def test_rows_inserted_sheets_renamed_and_moved_are_no_damage(tmp_path: Path) -> None:
    base = write_base(tmp_path)
    routing, cutting = base_view(base).field("operation_number"), base_view(base).field("cutting_operation")
    assert routing is not None
    assert cutting is not None
    copy = tmp_path / "moved.xlsx"
    steps = [
        {"do": "insert rows", "sheet": routing.sheet, "row": routing.row + 1, "count": 1},
        {"do": "insert rows", "sheet": cutting.sheet, "row": cutting.row - 3, "count": 2},
        {"do": "rename", "sheet": "Stock", "to": "Bars & blanks"},
    ]
    drive(base, steps, copy)
    audited = audit_view(view_of(open_workbook(copy)))
    # A row inserted in the routing alone leaves the Risk sheet, which has one row for each, with arrays of two lengths:
    # LibreOffice stores 0 there and the engine gives #N/A, as the format's rules want. That is told, and is not grave.
    assert {one.check for one in audited.findings} <= {"rearranged-sheets", "stale-result"}
    assert not [one for one in audited.findings if one.severity.is_grave]
