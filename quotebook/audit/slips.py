"""What a typed number was meant to be, where a slip of the hand explains it."""

from __future__ import annotations

#: A point at the wrong digit, and minutes for hours or hours for minutes.
FACTORS = (10.0, 60.0)


def by_factor(value: float, low: float, high: float, factors: tuple[float, ...] = FACTORS) -> float | None:
    """Return the number between two bounds that a slip by one factor explains; None for none, or more than one."""
    meant = [value * factor for factor in factors] + [value / factor for factor in factors]
    inside = [one for one in meant if low <= one <= high]
    return rounded_like(inside[0]) if len(inside) == 1 else None


def rounded_like(value: float, digits: int = 3) -> float:
    """Return a number with as few digits as people type: 6.19998 is 6.2."""
    return float(f"{value:.{digits}g}")
