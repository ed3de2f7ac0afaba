"""Actual over estimate, over many jobs: what the next estimate should change, and whether that can be said yet."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

#: Jobs from which a correction may be suggested. Source: common practice, trade handbook 1.9.
ENOUGH = 10

#: Two-sided 95 % points of Student's t for 1 to 30 degrees of freedom. Source: any published table of t.
_T = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
    2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
)  # fmt: skip
_Z = 1.959964


@dataclass(frozen=True)
class Observation:
    """Hours of one group in one job: allowed for what was made, and taken. Both above 0."""

    job: str
    group: str
    estimate: float
    actual: float


@dataclass(frozen=True)
class Ratio:
    """Actual over estimate of one group.

    ``mean``: geometric mean over the jobs; ``spread``: their geometric standard deviation (1.2: one job in three is
    off by more than a fifth); ``low``, ``high``: 95 % confidence interval of the mean; ``of_sums``: all actual hours
    over all estimated hours, in which long jobs weigh more. Spread and interval are None for one job alone.
    """

    group: str
    jobs: int
    mean: float
    spread: float | None
    low: float | None
    high: float | None
    of_sums: float
    enough: bool

    @property
    def suggestion(self) -> float | None:
        """The factor on the estimate, if there are enough jobs and the interval leaves out 1; else None."""
        if not self.enough or self.low is None or self.high is None or self.low <= 1 <= self.high:
            return None
        return self.mean

    @property
    def told(self) -> str:
        """What to make of it, in words."""
        if not self.enough:
            return f"too few jobs ({self.jobs}) to change anything"
        if self.suggestion is None:
            return "no correction: the estimate is within the interval"
        return f"multiply such estimates by {self.mean:.3f}"


def ratios(observations: Iterable[Observation], enough: int = ENOUGH) -> tuple[Ratio, ...]:
    """Return the ratio of each group, hours of one job in one group added up first; groups in order of name."""
    sums: dict[str, dict[str, tuple[float, float]]] = {}
    for one in observations:
        jobs = sums.setdefault(one.group, {})
        estimate, actual = jobs.get(one.job, (0.0, 0.0))
        jobs[one.job] = (estimate + one.estimate, actual + one.actual)
    found = []
    for group in sorted(sums):
        pairs = [(estimate, actual) for estimate, actual in sums[group].values() if estimate > 0 and actual > 0]
        if pairs:
            found.append(_ratio(group, pairs, enough))
    return tuple(found)


def _ratio(group: str, pairs: list[tuple[float, float]], enough: int) -> Ratio:
    logs = [math.log(actual / estimate) for estimate, actual in pairs]
    count = len(logs)
    mean = math.fsum(logs) / count
    spread = low = high = None
    if count > 1:
        deviation = math.sqrt(math.fsum((value - mean) ** 2 for value in logs) / (count - 1))
        reach = t_point(count - 1) * deviation / math.sqrt(count)
        spread, low, high = math.exp(deviation), math.exp(mean - reach), math.exp(mean + reach)
    of_sums = math.fsum(actual for _, actual in pairs) / math.fsum(estimate for estimate, _ in pairs)
    return Ratio(group, count, math.exp(mean), spread, low, high, of_sums, count >= enough)


def t_point(freedom: int) -> float:
    """Return the two-sided 95 % point of Student's t; beyond the table by two terms of the expansion about z.

    Source: the series z + (z^3 + z)/(4 n) + (5 z^5 + 16 z^3 + 3 z)/(96 n^2), from memory; tests hold it against
    published points.
    """
    if freedom <= len(_T):
        return _T[freedom - 1]
    second = (5 * _Z**5 + 16 * _Z**3 + 3 * _Z) / (96 * freedom**2)
    return _Z + (_Z**3 + _Z) / (4 * freedom) + second
