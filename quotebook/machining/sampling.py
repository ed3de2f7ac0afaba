"""Acceptance sampling: plans by lot size, level and acceptance quality; zero-acceptance plans; risks.

An aid only: the contract and the standard itself decide. Code letters: a stored chart of MIL-STD-105E / ISO 2859
(pdfcoffee.com/aql-sampling-chart-pdf-free.html, every level) agrees with a public specification table (nibs.org,
AC-TABLE.ASC, level II). Acceptance numbers: that specification table, with arrows followed by hand; letter R continues
the pattern of the rows above it and was not seen. Compare with a paid copy before contractual use.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from typing import Literal

from quotebook.rounding import ceil_guarded

Level = Literal["I", "II", "III", "S-1", "S-2", "S-3", "S-4"]

LETTERS = "ABCDEFGHJKLMNPQR"
LOT_FROM = (2, 9, 16, 26, 51, 91, 151, 281, 501, 1201, 3201, 10_001, 35_001, 150_001, 500_001)
#: The code letter for each range of lots, from the smallest range up.
CODE_LETTERS: dict[str, str] = {
    "I": "AABCCDEFGHJKLMN",
    "II": "ABCDEFGHJKLMNPQ",
    "III": "BCDEFGHJKLMNPQR",
    "S-1": "AAAABBBBCCCCDDD",
    "S-2": "AAABBBCCCDDDEEE",
    "S-3": "AABBCCDDEEFFGGH",
    "S-4": "AABCCDEEFGGHJJK",
}
_PLANS: dict[float, tuple[tuple[int, int], ...]] = {
    0.65: ((20, 0),) * 7 + ((80, 1), (80, 1), (125, 2), (200, 3), (315, 5), (500, 7), (800, 10), (1250, 14))
    + ((2000, 21),),
    1.0: ((13, 0),) * 6 + ((50, 1), (50, 1), (80, 2), (125, 3), (200, 5), (315, 7), (500, 10), (800, 14), (1250, 21))
    + ((1250, 21),),
    1.5: ((8, 0),) * 5 + ((32, 1), (32, 1), (50, 2), (80, 3), (125, 5), (200, 7), (315, 10), (500, 14))
    + ((800, 21),) * 3,
    2.5: ((5, 0),) * 4 + ((20, 1), (20, 1), (32, 2), (50, 3), (80, 5), (125, 7), (200, 10), (315, 14))
    + ((500, 21),) * 4,
    4.0: ((3, 0),) * 3 + ((13, 1), (13, 1), (20, 2), (32, 3), (50, 5), (80, 7), (125, 10), (200, 14))
    + ((315, 21),) * 5,
}  # fmt: skip
ACCEPTANCE_QUALITIES = tuple(_PLANS)


@dataclass(frozen=True)
class Plan:
    """Inspect ``sample`` pieces; accept the lot when at most ``accept`` of them are bad."""

    sample: int
    accept: int


def code_letter(lot: int, level: Level) -> str | None:
    """Return the code letter; None below a lot of 2, which is inspected whole."""
    index = bisect_right(LOT_FROM, lot) - 1
    return CODE_LETTERS[level][index] if index >= 0 else None


def single_normal_plan(lot: int, level: Level, quality_percent: float) -> Plan:
    """Return the single plan for normal inspection, arrows followed; a sample as large as the lot is the whole lot.

    Errors: KeyError for an acceptance quality other than 0.65, 1.0, 1.5, 2.5 and 4.0 percent.
    """
    letter = code_letter(lot, level)
    plans = _PLANS[quality_percent]
    if letter is None:
        return Plan(lot, 0)
    sample, accept = plans[LETTERS.index(letter)]
    # The whole lot inspected leaves nothing to chance: every bad piece is found and none is shipped knowingly.
    return Plan(lot, 0) if sample >= lot else Plan(sample, accept)


def zero_acceptance_sample(lot: int, bad_share: float, confidence: float) -> int:
    """Return the smallest sample without a bad piece that shows, with this confidence, fewer than that share is bad.

    Hypergeometric for a lot with ceil(share * lot) bad pieces. Source: definition of the distribution.
    """
    bad = bad_pieces(lot, bad_share)
    low, high = 1, lot
    while low < high:
        middle = (low + high) // 2
        if none_found(lot, bad, middle) <= 1 - confidence + CHANCE_NOISE:
            high = middle
        else:
            low = middle + 1
    return low


#: Chances nearer than this are the same: 1 - 0.95 and 5 of 100 must not differ by float noise.
CHANCE_NOISE = 1e-9


def bad_pieces(lot: int, bad_share: float) -> int:
    """Return the whole bad pieces that a share of the lot means: up, and at least 1."""
    return max(1, min(lot, ceil_guarded(bad_share * lot)))


def stream_sample(bad_share: float, confidence: float) -> int:
    """Return the same for a stream of lots: ceil(ln(1 - g) / ln(1 - p)). Source: binomial, by algebra."""
    return ceil_guarded(math.log(1 - confidence) / math.log(1 - bad_share))


def none_found(lot: int, bad: int, sample: int) -> float:
    """Return the chance that a sample of an isolated lot holds no bad piece."""
    return math.comb(lot - bad, sample) / math.comb(lot, sample)


def accepted_isolated(lot: int, bad: int, sample: int, accept: int) -> float:
    """Return the chance of acceptance of an isolated lot (hypergeometric)."""
    ways = sum(math.comb(bad, k) * math.comb(lot - bad, sample - k) for k in range(min(accept, sample) + 1))
    return ways / math.comb(lot, sample)


def accepted_stream(sample: int, accept: int, bad_share: float) -> float:
    """Return the chance of acceptance in a stream of lots (binomial)."""
    p = bad_share
    return math.fsum(math.comb(sample, k) * p**k * (1 - p) ** (sample - k) for k in range(min(accept, sample) + 1))


def accepted_poisson(sample: int, accept: int, bad_share: float) -> float:
    """Return the chance of acceptance as older textbooks tabulate it (Poisson)."""
    mean = sample * bad_share
    return math.exp(-mean) * math.fsum(mean**k / math.factorial(k) for k in range(accept + 1))


def gauge_tolerance(product_tolerance: float) -> float:
    """Return the tolerance of each gauge member: a tenth for the gauge, half each. Source: northerngauge.com."""
    return product_tolerance * 0.1 / 2
