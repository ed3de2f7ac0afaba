"""Round numbers for axes."""

from __future__ import annotations

import math


def ticks(low: float, high: float, most: int = 7) -> list[float]:
    """Return round numbers that cover low to high, at most ``most`` + 2 of them; steps are 1, 2 or 5."""
    if not high > low:
        low, high = low - 0.5 * (abs(low) or 1.0), high + 0.5 * (abs(high) or 1.0)
    raw = (high - low) / most
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(size * power for size in (1, 2, 5, 10) if size * power >= raw * (1 - 1e-9))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [number * step for number in range(first, last + 1)]


def shown(value: float, step: float) -> str:
    """Return a number with as many decimals as a step needs."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step > 0 else 0
    return f"{value:,.{decimals}f}".replace("-0", "0") if value == 0 else f"{value:,.{decimals}f}"
