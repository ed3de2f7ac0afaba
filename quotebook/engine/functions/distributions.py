"""Distributions of probability: normal, binomial, hypergeometric, Poisson."""

from __future__ import annotations

import math
from statistics import NormalDist

from quotebook.engine.convert import CellError
from quotebook.engine.registry import function
from quotebook.values import ErrorValue

#: Counts beyond this are refused with #NUM!, to keep sums of terms short.
MOST_TRIALS = 1_000_000


def _normal(mean: float, deviation: float) -> NormalDist:
    if deviation <= 0:
        raise CellError(ErrorValue.NUM)
    return NormalDist(mean, deviation)


def _below(z: float) -> float:
    """Return the share of the standard normal below z, exact in the far left tail too."""
    return 0.5 * math.erfc(-z / math.sqrt(2))


@function("NORM.DIST NORMDIST", "n n n b", "n")
def normal(x: float, mean: float, deviation: float, cumulative: bool) -> float:
    """Return the normal distribution, its share below x or its density at x."""
    distribution = _normal(mean, deviation)
    return _below((x - mean) / deviation) if cumulative else distribution.pdf(x)


@function("NORM.INV NORMINV", "n n n", "n")
def normal_inverse(share: float, mean: float, deviation: float) -> float:
    """Return the value below which a share of a normal distribution lies."""
    if not 0 < share < 1:
        raise CellError(ErrorValue.NUM)
    return _normal(mean, deviation).inv_cdf(share)


@function("NORM.S.DIST", "n b", "n")
def standard_normal(z: float, cumulative: bool) -> float:
    """Return the standard normal distribution, its share below z or its density at z."""
    return _below(z) if cumulative else NormalDist().pdf(z)


@function("NORMSDIST", "n", "n")
def standard_normal_share(z: float) -> float:
    """Return the share of the standard normal distribution below z."""
    return _below(z)


@function("NORM.S.INV NORMSINV", "n", "n")
def standard_normal_inverse(share: float) -> float:
    """Return the value below which a share of the standard normal distribution lies."""
    return normal_inverse(share, 0.0, 1.0)  # type: ignore[no-any-return]


def _log_choose(many: int, some: int) -> float:
    return math.lgamma(many + 1) - math.lgamma(some + 1) - math.lgamma(many - some + 1)


def _binomial_term(successes: int, trials: int, chance: float) -> float:
    if chance in (0.0, 1.0):
        return float(successes == (trials if chance else 0))
    if trials <= 1000:
        return math.comb(trials, successes) * chance**successes * (1 - chance) ** (trials - successes)
    log_term = _log_choose(trials, successes) + successes * math.log(chance)
    return math.exp(log_term + (trials - successes) * math.log1p(-chance))


@function("BINOM.DIST BINOMDIST", "n n n b", "n")
def binomial(successes: float, trials: float, chance: float, cumulative: bool) -> float:
    """Return the chance of so many successes in so many trials, or of at most so many."""
    some, many = math.trunc(successes), math.trunc(trials)
    if some < 0 or some > many or not 0 <= chance <= 1 or many > MOST_TRIALS:
        raise CellError(ErrorValue.NUM)
    if not cumulative:
        return _binomial_term(some, many, chance)
    return min(math.fsum(_binomial_term(count, many, chance) for count in range(some + 1)), 1.0)


def _hypergeometric_term(found: int, sample: int, marked: int, lot: int) -> float:
    if found > min(sample, marked) or sample - found > lot - marked:
        return 0.0
    if lot > 2000:  # exact whole numbers would be slow; logarithms keep 11 digits here
        log_term = _log_choose(marked, found) + _log_choose(lot - marked, sample - found) - _log_choose(lot, sample)
        return math.exp(log_term)
    return math.comb(marked, found) * math.comb(lot - marked, sample - found) / math.comb(lot, sample)


def _hypergeometric(found: float, sample: float, marked: float, lot: float, cumulative: bool) -> float:
    some, drawn, special, total = (math.trunc(value) for value in (found, sample, marked, lot))
    outside = some < 0 or some > min(drawn, special) or some < drawn - total + special
    if outside or not 0 < drawn <= total or not 0 < special <= total or total > 100_000:
        raise CellError(ErrorValue.NUM)
    if not cumulative:
        return _hypergeometric_term(some, drawn, special, total)
    return min(math.fsum(_hypergeometric_term(count, drawn, special, total) for count in range(some + 1)), 1.0)


@function("HYPGEOMDIST", "n n n n", "n")
def hypergeometric(found: float, sample: float, marked: float, lot: float) -> float:
    """Return the chance that a sample from a lot holds so many of the marked pieces."""
    return _hypergeometric(found, sample, marked, lot, cumulative=False)


@function("HYPGEOM.DIST", "n n n n b", "n")
def hypergeometric_either(found: float, sample: float, marked: float, lot: float, cumulative: bool) -> float:
    """Return the chance that a sample from a lot holds so many marked pieces, or at most so many."""
    return _hypergeometric(found, sample, marked, lot, cumulative)


def _poisson_term(count: int, mean: float) -> float:
    if not mean:
        return float(count == 0)
    return math.exp(count * math.log(mean) - mean - math.lgamma(count + 1))


@function("POISSON.DIST POISSON", "n n b", "n")
def poisson(events: float, mean: float, cumulative: bool) -> float:
    """Return the chance of so many events where ``mean`` are expected, or of at most so many."""
    count = math.trunc(events)
    if count < 0 or mean < 0 or count > MOST_TRIALS:
        raise CellError(ErrorValue.NUM)
    if not cumulative:
        return _poisson_term(count, mean)
    return min(math.fsum(_poisson_term(each, mean) for each in range(count + 1)), 1.0)
