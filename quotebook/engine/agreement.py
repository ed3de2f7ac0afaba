"""Whether two answers for one cell agree; it says *agrees* only where both were given and are of one kind.

A blank is not 0, the text "4" is not 4, TRUE is not 1, and two unknowns never agree.
"""

from __future__ import annotations

import math
from enum import Enum
from typing import NamedTuple

from quotebook.engine.book import Result, Status
from quotebook.values import ErrorValue, Value

#: Numbers agree within this share of the larger one. Two programs that add the same terms in another order differ by a
#: few units of the 16th digit for each term; this leaves room for millions of them, and none for a cent in a million.
RELATIVE = 1e-9
#: Numbers agree within this distance near 0, where a share means nothing.
ABSOLUTE = 1e-9


class Absent(Enum):
    """There is no such cell, or no stored answer for it."""

    ABSENT = "absent"


class Verdict(Enum):
    """What a comparison says."""

    AGREES = "agrees"
    DIFFERS = "differs"
    NOT_JUDGED = "not judged"


class Agreement(NamedTuple):
    """A verdict and its kind: "number", "text", "logical", "error" or "blank" for values of one kind.

    Kinds of difference: "other kind" (number against text), "one is an error", and "another error", where both are
    errors but not the same one. That last kind is to be told apart, since some programs write one error for several.
    Kinds of not judged: "absent", "not evaluated", "not a cell value".
    """

    verdict: Verdict
    kind: str


Answer = Result | Value | Absent


def compare(first: Answer, second: Answer) -> Agreement:
    """Return whether two answers agree: results of an engine, bare values, or ``Absent.ABSENT``."""
    values: list[Value] = []
    for answer in (first, second):
        if isinstance(answer, Absent):
            return Agreement(Verdict.NOT_JUDGED, "absent")
        if isinstance(answer, Result):
            if answer.status is not Status.EVALUATED:
                return Agreement(Verdict.NOT_JUDGED, "not evaluated")
            answer = answer.value
        if isinstance(answer, int | float) and not math.isfinite(answer):
            return Agreement(Verdict.NOT_JUDGED, "not a cell value")
        values.append(answer)
    return _compare_values(*values)


def _compare_values(first: Value, second: Value) -> Agreement:
    kinds = (_kind(first), _kind(second))
    if kinds[0] != kinds[1]:
        return Agreement(Verdict.DIFFERS, "one is an error" if "error" in kinds else "other kind")
    kind = kinds[0]
    if kind == "number":
        assert isinstance(first, int | float), "kind number"
        assert isinstance(second, int | float), "kind number"
        same = math.isclose(first, second, rel_tol=RELATIVE, abs_tol=ABSOLUTE)
    else:
        same = first == second
    if kind == "error" and not same:
        return Agreement(Verdict.DIFFERS, "another error")
    return Agreement(Verdict.AGREES if same else Verdict.DIFFERS, kind)


def _kind(value: Value) -> str:
    if value is None:
        return "blank"
    if isinstance(value, bool):
        return "logical"
    if isinstance(value, str):
        return "text"
    return "error" if isinstance(value, ErrorValue) else "number"
