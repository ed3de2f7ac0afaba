"""Every check that needs no contract speaks on a workbook with its fault and is silent on one without."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.audit.runner import CHECK_FAILED, audit_view
from quotebook.audit.view import BookView
from quotebook.flows.opening import open_workbook
from tests.audit.foreign import Case, found
from tests.audit.foreign_cases import CASES, block
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


#: More places where a check has no business to speak, each met on a sound sheet.
SILENT = [
    (
        "percent-slip",  # the worker attends all of the time
        Case(block(E4="Attended", D6="=B6*C6*E6", E6=1, D7="=B7*C7*E7", E7=0.5), formats={"E6": "0%", "E7": "0%"}),
    ),
    ("price-below-cost", Case(block(D4="Quoted price", A10="Profit", D10="=D9*0.2", D11="=D9+D10"))),
    ("price-below-cost", Case(block(A12="Check: margin of price", D12="=(D11-D9)/D11"))),
    ("price-below-cost", Case(block(A12="Price per 100", D12="=D11/400*100"))),
    (
        "sign-slip",  # hours up to the normal ones are paid elsewhere
        Case(block(A2="Normal hours", B2=4, F4="Overtime hours", F6="=MAX(B6-B2,0)", D6="=B6*C6+F6*C6*0.5")),
    ),
]


@pytest.mark.parametrize(("check", "case"), SILENT)
def test_the_check_is_silent_on_what_looks_like_its_fault(check: str, case: Case, tmp_path: Path) -> None:
    assert [finding.found for finding in found(case, check, tmp_path)] == []
