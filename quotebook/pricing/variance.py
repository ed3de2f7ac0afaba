"""Variances after the job, by the textbook formulas.

Sign: above 0 is unfavourable, it cost more than allowed. Standard hours and quantities are those allowed for the output
that was really made, never those of the quoted quantity. Sources of the formulas: trade handbook 1.9; the worked
examples that they are held against are in tests/pricing/test_variance.py with their pages.
"""

from __future__ import annotations


def rate_variance(actual_rate: float, standard_rate: float, actual_hours: float) -> float:
    """Return (AR - SR) x AH: an hour cost more than it should."""
    return (actual_rate - standard_rate) * actual_hours


def efficiency_variance(actual_hours: float, standard_hours: float, standard_rate: float) -> float:
    """Return (AH - SH) x SR: it took more hours than the output allows."""
    return (actual_hours - standard_hours) * standard_rate


def labor_variance(actual_cost: float, standard_cost: float) -> float:
    """Return AH x AR - SH x SR, which is rate and efficiency variance together."""
    return actual_cost - standard_cost


def purchase_price_variance(actual_price: float, standard_price: float, actual_quantity: float) -> float:
    """Return (AP - SP) x AQ: what was bought cost more than it should."""
    return (actual_price - standard_price) * actual_quantity


def usage_variance(actual_quantity: float, standard_quantity: float, standard_price: float) -> float:
    """Return (AQ - SQ) x SP: more was used than the output allows."""
    return (actual_quantity - standard_quantity) * standard_price


def overhead_budget_variance(actual: float, budget: float) -> float:
    """Return fixed overhead spent beyond its budget."""
    return actual - budget


def overhead_volume_variance(budget: float, standard_hours: float, fixed_rate: float) -> float:
    """Return fixed overhead that the hours allowed for the output did not absorb: budget - SH x fixed rate."""
    return budget - standard_hours * fixed_rate
