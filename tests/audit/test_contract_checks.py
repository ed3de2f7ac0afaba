"""Every check of the contract speaks on a workbook with its fault, and all are silent on the complete one."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.audit.finding import Finding
from quotebook.audit.registry import all_checks, check_named
from quotebook.audit.runner import CHECK_FAILED, audit_view, unmet
from quotebook.audit.view import BookView
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from tests.audit.contract_base import base_view, spoil, write_base
from tests.audit.contract_cases import CASES


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("base"))


#: A whole audit takes seconds, so every fifth fault gets one; the others are judged by their own check.
WHOLE = frozenset(list(CASES)[::5])


def raw(view: BookView, check: str) -> list[Finding]:
    """What one check says by itself, before anything is folded."""
    one = check_named(check)
    assert one is not None, f"there is no check {check}"
    assert unmet(view, one) is None, f"{check} could not judge: {unmet(view, one)}"
    return list(one.find(view))


@pytest.mark.parametrize("check", CASES)
def test_the_check_speaks_where_its_fault_is(check: str, base: Path, tmp_path: Path) -> None:
    case = CASES[check]
    view = view_of(open_workbook(spoil(base, tmp_path / "spoiled.xlsx", case.spoiled)))
    findings = raw(view, check)
    assert findings, f"{check} is silent"
    assert all(one.check == check and one.mend and one.evidence and one.expected for one in findings)
    if case.at is not None:
        cell = base_view(base).field_cell(*case.at)
        assert cell is not None
        places = [(one.sheet, one.cells.split(":")[0]) for one in findings]
        assert (cell.sheet, str(cell).split("!")[1]) in places
    if check in WHOLE:
        audited = audit_view(view)
        assert not [one for one in audited.findings if one.check == CHECK_FAILED]
        assert audited.findings, "a spoiled workbook is not clean"


def test_no_check_says_anything_on_the_complete_workbook(base: Path) -> None:
    view = base_view(base)
    judged = [one for one in all_checks() if unmet(view, one) is None]
    said = [finding for one in judged for finding in one.find(view)]
    assert not said, said
    assert len(judged) >= 45, "too few checks were asked"


def test_the_whole_audit_of_the_complete_workbook_finds_nothing(base: Path) -> None:
    audited = audit_view(base_view(base))
    assert audited.findings == ()
    assert audited.not_judged == ()
