"""Which input gives a wanted result: the workbook's own formulas, searched over the input's range.

Prices are rounded and pieces whole, so results go in steps: several inputs may do, or none may hit the target and
the result jumps over it. All of that is told, nothing is interpolated.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from quotebook.engine.compile import compile_book
from quotebook.engine.many.run import Numbers, run_cases
from quotebook.flows.field_words import Chosen, chosen_cell, inputs_for, refuse, require_allowed, require_input
from quotebook.flows.opening import Opened, open_workbook

#: Points of the first look; a result that rises and falls between two of them may be missed, and the report says so.
POINTS = 2001
#: Whole numbers are tried one by one up to so many.
MOST_WHOLE = 200_000
#: A result counts as the target when both agree in so many digits.
TOLERANCE = 1e-9


@dataclass(frozen=True, slots=True)
class Solution:
    """Inputs from ``low`` to ``high`` (mostly the same number) whose result is the target.

    ``hit`` is False where the result jumps over the target between ``low`` and ``high``; ``below`` and ``above`` are
    the results there.
    """

    low: float
    high: float
    hit: bool
    below: float
    above: float


@dataclass(slots=True)
class Solved:
    """All solutions in the range searched; ``reached`` are the least and the largest result met there."""

    file: str
    input: Chosen
    output: Chosen
    target: float
    start: float | None
    searched: tuple[float, float]
    points: int
    reached: tuple[float, float] | None
    solutions: list[Solution] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def hits(self) -> list[Solution]:
        """Return the solutions that give the target itself."""
        return [each for each in self.solutions if each.hit]


def solve(path: Path, for_field: str, until: str, between: str | None = None) -> Solved:
    """Return the inputs that give the result wanted.

    Shape:  ``for_field`` names an input, ``until`` is ``FIELD=VALUE``, ``between`` is ``low:high``.
    Errors: InputError for words that make no sense, BookError for an unreadable file.
    """
    opened = open_workbook(path)
    wanted = chosen_cell(opened, for_field, "--for")
    require_input(opened, wanted, "--for")
    words, sign, text = until.partition("=")
    target = _number(opened, "--until", until, text) if sign else None
    if target is None:
        refuse(opened, "--until", repr(until), "FIELD=VALUE, as unit_price[1]=40", "write it in this way")
    output = chosen_cell(opened, words, "--until")
    start = opened.book.inputs.get(wanted.address)
    at = start if isinstance(start, float) else None
    low, high = _range(opened, wanted, at, between)
    program = compile_book(opened.book)
    inputs, note = inputs_for(opened, [wanted])
    unknown: set[str] = set()

    def results(values: Numbers) -> Numbers:
        found = run_cases(program, inputs, {wanted.address: values}, [output.address])
        unknown.update(found.answers[output.address].unknown.values())
        return found.answers[output.address].numbers

    points = _points(wanted, low, high, at)
    first = results(points)
    numbers = first[np.isfinite(first)]
    reached = (float(numbers.min()), float(numbers.max())) if len(numbers) else None
    solved = Solved(str(path), wanted, output, target, at, (low, high), len(points), reached)
    solved.solutions = _search(points, first, target, results, wanted.whole)
    if note:
        solved.notes.append(note)
    if len(numbers) < len(first):
        solved.notes.append(f"in {len(first) - len(numbers)} of {len(first)} places the result is no number")
    solved.notes.extend(f"unknown: {reason}" for reason in sorted(unknown)[:3])
    if reached is not None and reached[0] == reached[1]:
        solved.notes.append(f"{output.words} does not change with {wanted.words}")
    if not wanted.whole:
        solved.notes.append(f"looked at {len(points)} places; a rise and fall between two of them would be missed")
    return solved


def _number(opened: Opened, option: str, words: str, text: str) -> float:
    try:
        value = float(text.strip())
    except ValueError:
        value = float("nan")
    if not abs(value) <= 1e15:
        refuse(opened, f"{option} {words}", repr(text), "a number", "write it with a decimal point and without a unit")
    return value


def _range(opened: Opened, wanted: Chosen, start: float | None, between: str | None) -> tuple[float, float]:
    if between is not None:
        words = between.split(":")
        if len(words) != 2:
            refuse(opened, "--between", repr(between), "low:high", "write it in this way")
        low, high = (_number(opened, "--between", between, each) for each in words)
        if low >= high:
            refuse(opened, "--between", repr(between), "a low number before a higher one", "turn them round")
        require_allowed(opened, wanted, [low, high], "--between")
        return low, high
    spec = wanted.placed.field if wanted.placed is not None else None
    bottom = next((each for each in (spec.minimum, spec.above) if each is not None), None) if spec else None
    top = next((each for each in (spec.maximum, spec.below) if each is not None), None) if spec else None
    size = max(abs(start) if start else 1.0, 100.0 if wanted.whole else 0.0)
    if spec is not None and spec.type == "share":
        low, high = 0.0, 1.0
    else:
        low, high = (0.0, size * 10) if start is None or start >= 0 else (-size * 10, 0.0)
    low = low if bottom is None else max(low, bottom)
    high = high if top is None else min(high, top)
    # An open end is left out by a hair.
    if spec is not None and spec.above is not None and low == spec.above:
        low += (high - low) * 1e-9
    if spec is not None and spec.below is not None and high == spec.below:
        high -= (high - low) * 1e-9
    return low, high


def _points(wanted: Chosen, low: float, high: float, start: float | None) -> Numbers:
    if wanted.whole:
        first, last = int(np.ceil(low)), int(np.floor(high))
        return np.unique(np.linspace(first, last, min(last - first + 1, MOST_WHOLE)).round())
    points = np.linspace(low, high, POINTS)
    return np.unique(np.append(points, start)) if start is not None and low <= start <= high else points


def _search(
    points: Numbers, found: Numbers, target: float, results: Callable[[Numbers], Numbers], whole: bool
) -> list[Solution]:
    scale = max(abs(target), 1e-9)
    hit = np.abs(found - target) <= TOLERANCE * scale
    solutions: list[Solution] = []
    index, last = 0, len(points) - 1
    while index <= last:
        if hit[index]:
            end = index
            while end < last and hit[end + 1]:
                end += 1
            low, high = float(points[index]), float(points[end])
            if not whole:
                low = _edge(results, target, points[index], points[index - 1]) if index else low
                high = _edge(results, target, points[end], points[end + 1]) if end < last else high
            solutions.append(Solution(low, high, True, target, target))
            index = end + 1
            continue
        if index < last and not hit[index + 1] and (found[index] - target) * (found[index + 1] - target) < 0:
            solutions.append(
                _between(points[index], points[index + 1], found[index], found[index + 1], target, results, whole)
            )
        index += 1
    return solutions


def _edge(results: Callable[[Numbers], Numbers], target: float, inside: float, outside: float) -> float:
    """Return how far from a hit toward a miss the result stays the target; an infinitely thin hit stays itself."""
    scale = max(abs(target), 1e-9)
    for _ in range(5):
        steps = np.linspace(inside, outside, 65)
        good = np.abs(results(steps) - target) <= TOLERANCE * scale
        last = int(np.argmin(good)) - 1 if not good.all() else 64
        inside, outside = float(steps[max(last, 0)]), float(steps[min(max(last, 0) + 1, 64)])
    return inside


def _between(
    low: float, high: float, at_low: float, at_high: float, target: float,
    results: Callable[[Numbers], Numbers], whole: bool,
) -> Solution:  # fmt: skip
    """Close in on a crossing; the result may meet the target there, or jump over it."""
    low, high, at_low, at_high = float(low), float(high), float(at_low), float(at_high)
    scale = max(abs(target), 1e-9)
    for _ in range(0 if whole else 12):
        steps = np.unique(np.linspace(low, high, 65))
        found = results(steps)
        good = np.flatnonzero(np.abs(found - target) <= TOLERANCE * scale)
        if len(good):
            first, last = float(steps[good[0]]), float(steps[good[-1]])
            return Solution(first, last, True, target, target)
        crossing = np.flatnonzero((found[:-1] - target) * (found[1:] - target) < 0)
        if not len(crossing) or high - low <= 1e-14 * max(abs(low), abs(high)):
            break
        place = int(crossing[0])
        low, high, at_low, at_high = (float(each) for each in (*steps[place : place + 2], *found[place : place + 2]))
    return Solution(low, high, False, at_low, at_high)
