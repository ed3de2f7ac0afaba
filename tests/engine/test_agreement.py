"""The hostile table: what must never be taken for agreement."""

from __future__ import annotations

import math

import pytest

from quotebook.engine import Result, Status
from quotebook.engine.agreement import Absent, Answer, Verdict, compare
from quotebook.values import ErrorValue

AGREES, DIFFERS, NOT_JUDGED = Verdict.AGREES, Verdict.DIFFERS, Verdict.NOT_JUDGED
UNKNOWN = Result(Status.NOT_EVALUATED, reason="the function FOO is not supported")
TAINTED = Result(Status.DEPENDS_ON_NOT_EVALUATED, 5.0, "depends on another")
ABSENT = Absent.ABSENT


def done(value: float | str | bool | ErrorValue | None) -> Result:
    return Result(Status.EVALUATED, value)


@pytest.mark.parametrize(
    ("first", "second", "verdict", "kind"),
    [
        (UNKNOWN, UNKNOWN, NOT_JUDGED, "not evaluated"),
        (UNKNOWN, TAINTED, NOT_JUDGED, "not evaluated"),
        (TAINTED, 5.0, NOT_JUDGED, "not evaluated"),
        (TAINTED, TAINTED, NOT_JUDGED, "not evaluated"),
        (UNKNOWN, None, NOT_JUDGED, "not evaluated"),
        (UNKNOWN, ABSENT, NOT_JUDGED, None),
        (ABSENT, ABSENT, NOT_JUDGED, "absent"),
        (ABSENT, None, NOT_JUDGED, "absent"),
        (ABSENT, done(0.0), NOT_JUDGED, "absent"),
        (ABSENT, "", NOT_JUDGED, "absent"),
        (0.0, None, DIFFERS, "other kind"),
        (done(0.0), None, DIFFERS, "other kind"),
        ("", None, DIFFERS, "other kind"),
        ("", 0.0, DIFFERS, "other kind"),
        (False, None, DIFFERS, "other kind"),
        ("4", 4.0, DIFFERS, "other kind"),
        (True, 1.0, DIFFERS, "other kind"),
        (False, 0.0, DIFFERS, "other kind"),
        ("TRUE", True, DIFFERS, "other kind"),
        ("#N/A", ErrorValue.NA, DIFFERS, "one is an error"),
        (0.0, ErrorValue.DIV0, DIFFERS, "one is an error"),
        (None, ErrorValue.NA, DIFFERS, "one is an error"),
        (ErrorValue.NUM, ErrorValue.VALUE, DIFFERS, "another error"),
        (ErrorValue.NA, ErrorValue.NA, AGREES, "error"),
        (math.nan, math.nan, NOT_JUDGED, "not a cell value"),
        (math.nan, 0.0, NOT_JUDGED, "not a cell value"),
        (done(math.nan), done(math.nan), NOT_JUDGED, "not a cell value"),
        (math.inf, math.inf, NOT_JUDGED, "not a cell value"),
        # Minus zero is the one pair here that agrees: no cell shows the sign, and programs store either for one sum.
        (0.0, -0.0, AGREES, "number"),
        (1.0, 1.0 + 1e-10, AGREES, "number"),
        (1.0, 1.0 + 1e-8, DIFFERS, "number"),
        (1e9, 1e9 + 0.01, AGREES, "number"),
        (1e9, 1e9 + 10, DIFFERS, "number"),
        (0.0, 1e-10, AGREES, "number"),
        (0.0, 1e-8, DIFFERS, "number"),
        (1e-8, 2e-8, DIFFERS, "number"),
        (5.0, -5.0, DIFFERS, "number"),
        ("a", "A", DIFFERS, "text"),
        ("a", "a ", DIFFERS, "text"),
        ("a", "a", AGREES, "text"),
        (True, False, DIFFERS, "logical"),
        (True, True, AGREES, "logical"),
        (None, None, AGREES, "blank"),
        (done("x"), "x", AGREES, "text"),
        (3, 3.0, AGREES, "number"),
    ],
)
def test_two_answers(first: Answer, second: Answer, verdict: Verdict, kind: str | None) -> None:
    for one, other in ((first, second), (second, first)):
        found = compare(one, other)
        assert found.verdict is verdict
        assert kind is None or found.kind == kind
