"""Every check that needs no contract speaks on a workbook with its fault and is silent on one without."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.audit.runner import CHECK_FAILED, audit_view
from quotebook.audit.view import BookView
from quotebook.flows.opening import open_workbook
from tests.audit.foreign import found
from tests.audit.foreign_cases import CASES
from tests.audit.homemade import CLEAN, saved
from tests.audit.homemade_more import MORE

#: The two highest levels on a clean home-made workbook: the goal set for the audit is at most one.
MOST_GRAVE_ON_CLEAN = 0


@pytest.mark.parametrize("check", CASES)
def test_the_check_speaks_where_its_fault_is(check: str, tmp_path: Path) -> None:
    case = CASES[check][0]
    findings = found(case, check, tmp_path)
    assert tuple(finding.cells for finding in findings) == case.finds
    assert all(finding.found and finding.mend and finding.evidence for finding in findings)
    if case.effect is not None:
        assert findings[0].effect_on_price == pytest.approx(case.effect)


@pytest.mark.parametrize("check", CASES)
def test_the_check_is_silent_where_its_fault_is_not(check: str, tmp_path: Path) -> None:
    assert [finding.found for finding in found(CASES[check][1], check, tmp_path)] == []


@pytest.mark.parametrize("name", [*CLEAN, *MORE])
def test_a_clean_home_made_workbook_gets_no_grave_finding(name: str, tmp_path: Path) -> None:
    opened = open_workbook(saved({**CLEAN, **MORE}[name](), tmp_path / "clean.xlsx"))
    audited = audit_view(BookView(opened.snapshot, opened.book))
    grave = [finding for finding in audited.findings if finding.severity.is_grave]
    assert len(grave) <= MOST_GRAVE_ON_CLEAN, grave
    assert not [finding for finding in audited.findings if finding.check == CHECK_FAILED]
