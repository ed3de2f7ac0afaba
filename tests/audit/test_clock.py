"""The time that one workbook is given runs from the opening of its file, and every long step looks at it.

Source: the issue (each file ends within a limit); by hand.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.audit.runner import audit_view
from quotebook.clock import OutOfTime, began, within
from quotebook.engine.normal import fingerprint
from quotebook.engine.planner import plan_book
from quotebook.engine.precedents import Precedents
from quotebook.engine.program import Program
from quotebook.flows import audit
from quotebook.flows.audit import audit_file, view_of
from quotebook.flows.opening import open_workbook
from quotebook.workbook.reader import read_snapshot


def test_a_file_that_is_not_read_in_time_has_one_plain_reason(
    metric_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(audit, "AUDIT_SECONDS", 0.0)
    audited = audit_file(metric_file)
    assert audited.error is not None
    assert "found more than 0 s of reading; expected" in audited.error
    assert not audited.findings
    assert not audited.not_judged


def test_what_reading_took_is_counted(metric_file: Path) -> None:
    view = view_of(open_workbook(metric_file))
    long_ago = began() - 100.0
    audited = audit_view(view, seconds=90.0, since=long_ago)
    assert {one.reason for one in audited.not_judged if "used up" in one.reason} != set()
    assert not audited.findings
    assert not [one for one in audit_view(view, seconds=200.0, since=long_ago).not_judged if "used up" in one.reason]


def test_every_long_step_looks_at_the_clock(metric_file: Path) -> None:
    book = open_workbook(metric_file).book
    program = Program(plan_book(book))
    steps = {
        "reading": lambda: read_snapshot(metric_file),
        "digest": lambda: fingerprint(book),
        "compiling": lambda: plan_book(book),
        "computing": lambda: program.values(book.inputs),
        "links": lambda: Precedents(book),
    }
    from quotebook.engine import normal

    for step in steps.values():
        normal.normal_form.cache_clear()
        normal._KNOWN.clear()
        with pytest.raises(OutOfTime), within(0.0):
            step()
        step()  # outside, there is always time
