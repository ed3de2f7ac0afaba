"""Learning curves: hand work gets faster with repetition; a machine's cycle does not learn by itself.

``rate`` is the share of time that remains when the quantity doubles; b = log2(rate) is negative.
"""

from __future__ import annotations

import math


def exponent(rate: float) -> float:
    """Return b = log(rate) / log(2)."""
    return math.log2(rate)


def unit_time(first: float, unit: int, rate: float) -> float:
    """Return the time of unit n by the unit form: T1 n^b. Source: R package learningCurve 1.1.2 (Crawford)."""
    return float(first * unit ** exponent(rate))


def unit_total(first: float, units: int, rate: float) -> float:
    """Return the time of n units by the unit form, added up exactly. Source: R package learningCurve 1.1.2."""
    b = exponent(rate)
    return first * math.fsum(k**b for k in range(1, units + 1))


def average_time(first: float, units: int, rate: float) -> float:
    """Return the cumulative average of n units: T1 n^b. Source: Wright; online.flipbuilder.com/bmcx/vksq p. 330."""
    return float(first * units ** exponent(rate))


def average_total(first: float, units: int, rate: float) -> float:
    """Return the time of n units by the cumulative-average form. Source: as ``average_time``."""
    return units * average_time(first, units, rate)


def average_unit_time(first: float, unit: int, rate: float) -> float:
    """Return the time of unit n by the cumulative-average form. Source: R package learningCurve 1.1.2 (Wright)."""
    before = average_total(first, unit - 1, rate) if unit > 1 else 0.0
    return average_total(first, unit, rate) - before


def block_total(first: float, start: int, end: int, rate: float) -> float:
    """Return the time of units start to end by the cumulative-average form. Source: as ``average_unit_time``."""
    before = average_total(first, start - 1, rate) if start > 1 else 0.0
    return average_total(first, end, rate) - before


def learned_pieces(pieces: int, rate: float, form: str) -> float:
    """Return how many first-piece times a run of ``pieces`` takes: never more than the pieces.

    ``form``: "unit" or "cumulative average". Source: the totals above with T1 = 1.
    """
    if pieces == 0:
        return 0.0
    return unit_total(1.0, pieces, rate) if form == "unit" else average_total(1.0, pieces, rate)
