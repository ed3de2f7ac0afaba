"""Scores the engine on the probes: right, said to be unknown, or silently wrong."""

from __future__ import annotations

import math
from pathlib import Path
from typing import NamedTuple

from quotebook.engine import Status, evaluate
from quotebook.values import Address, Value
from tests.engine.tables import COLUMN, FIRST_ROW, book, literal

FILE = Path(__file__).parent / "probes.txt"
SOURCES = ("hand", "memory", "published", "a date or an error", "not supported", "must not be swallowed")


class Probe(NamedTuple):
    """A formula; ``expected`` is None where the only right answer is to say that it is unknown."""

    formula: str
    expected: Value
    source: str


class Score(NamedTuple):
    """Probes by outcome; ``told`` are those that the engine said it cannot compute though an answer is known."""

    right: list[Probe]
    told: list[tuple[Probe, str]]
    wrong: list[tuple[Probe, Value]]


def probes() -> list[Probe]:
    """Return all probes."""
    found = []
    for line in FILE.read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("# "):
            continue
        formula, rest = line.split(" => ")
        expected, source = rest.split(" ; ", 1)
        assert source.startswith(SOURCES), line
        found.append(Probe(formula, None if expected == "unknown" else literal(expected), source))
    return found


def score() -> Score:
    """Return the score of every probe; numbers must agree in twelve digits, all else exactly."""
    asked = probes()
    placed = {Address("Data", FIRST_ROW + n, COLUMN): probe for n, probe in enumerate(asked)}
    results = evaluate(book({cell: probe.formula for cell, probe in placed.items()})).results
    right, told, wrong = [], [], []
    for cell, probe in placed.items():
        result = results[cell]
        if result.status is not Status.EVALUATED:
            if probe.expected is None:
                right.append(probe)
            else:
                told.append((probe, result.reason))
        elif probe.expected is not None and _same(result.value, probe.expected):
            right.append(probe)
        else:
            wrong.append((probe, result.value))
    return Score(right, told, wrong)


def _same(found: Value, expected: Value) -> bool:
    if isinstance(found, float) and type(expected) is float:
        return math.isclose(found, expected, rel_tol=1e-12)  # an expected 0 must be 0
    return type(found) is type(expected) and found == expected
