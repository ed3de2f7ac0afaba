"""Three-point estimates and their sums with a common correlation."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist


def pert_mean(low: float, likely: float, high: float) -> float:
    """Return (a + 4 m + b) / 6. Source: schematex.js.org, PERT three-point estimation."""
    return (low + 4 * likely + high) / 6


def pert_spread(low: float, high: float) -> float:
    """Return (b - a) / 6, the standard deviation. Source: as ``pert_mean``."""
    return (high - low) / 6


def triangular_mean(low: float, likely: float, high: float) -> float:
    """Return the mean of a triangular distribution. Source: GAO-20-195G, Table 12 (method)."""
    return (low + likely + high) / 3


def triangular_spread(low: float, likely: float, high: float) -> float:
    """Return the standard deviation of a triangular distribution. Source: as ``triangular_mean``."""
    squares = low**2 + likely**2 + high**2 - low * likely - low * high - likely * high
    return math.sqrt(squares / 18)


def sum_spread(spreads: Sequence[float], correlation: float) -> float:
    """Return the standard deviation of a sum whose every pair has this correlation, 0 to 1.

    var = (1 - r) sum s^2 + r (sum s)^2. Source: variance of a sum; independence gives false comfort (GAO-20-195G).
    """
    return spread_at(correlation, math.sqrt(math.fsum(s * s for s in spreads)), math.fsum(spreads))


def spread_at(correlation: float, alone: float, together: float) -> float:
    """Return the standard deviation of such a sum from those at correlation 0 and 1. Source: as ``sum_spread``."""
    return math.sqrt((1 - correlation) * alone**2 + correlation * together**2)


def not_passed(mean: float, spread: float, chance: float) -> float:
    """Return the amount that is not passed with this chance, by the normal curve. Source: z(0.8) = 0.8416."""
    return mean + NormalDist().inv_cdf(chance) * spread


def chance_above(amount: float, mean: float, spread: float) -> float:
    """Return the chance that the sum comes out above an amount; without spread 1 or 0."""
    if spread == 0:
        return 1.0 if amount < mean else 0.0
    return 1 - NormalDist().cdf((amount - mean) / spread)
