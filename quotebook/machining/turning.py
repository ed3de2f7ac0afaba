"""Turning, facing and boring: minutes of cut."""

from __future__ import annotations

import math

from quotebook.machining.speeds import spindle_speed
from quotebook.machining.units import LENGTHS_PER_SPEED, Units
from quotebook.rounding import ceil_guarded


def passes(stock: float, depth: float) -> int:
    """Return the cuts that take ``stock`` away at ``depth`` a cut: a whole number, at least 1; any length unit.

    Source: common practice, no source; whole steps are guarded against float noise.
    """
    return max(1, ceil_guarded(stock / depth))


def turning_minutes(
    start_diameter: float, end_diameter: float, length: float, speed: float, feed: float, depth: float,
    units: Units, top_rpm: float | None = None, approach: float = 0.0,
) -> float:  # fmt: skip
    """Return minutes for turning (or boring: end above start) over ``length``, in cuts of at most ``depth``.

    Spindle speed at the mean diameter, which is what equal cuts average to; ``approach`` is added to every cut.
    Source: t = L / (f n), Mitsubishi Materials; the mean diameter, Kalpakjian and Schmid, Example 22.1.
    """
    cuts = passes(abs(start_diameter - end_diameter) / 2, depth)
    rpm = spindle_speed(speed, (start_diameter + end_diameter) / 2, units, top_rpm)
    return cuts * (length + approach) / (feed * rpm)


def facing_minutes(
    outer_diameter: float, inner_diameter: float, speed: float, feed: float, units: Units, top_rpm: float | None = None
) -> float:
    """Return minutes of one facing cut (or groove, or part-off) at constant surface speed.

    From the diameter at which the spindle reaches ``top_rpm`` inwards the speed falls and the rpm stays.
    Source: pi (Do^2 - Di^2) / (4000 v f), Tungaloy catalogue 2020-2021 p. L030; the capped core by integration.
    """
    per_speed = LENGTHS_PER_SPEED[units]
    capped = 0.0 if top_rpm is None else per_speed * speed / (math.pi * top_rpm)
    knee = min(max(capped, inner_diameter), outer_diameter)
    minutes = math.pi * (outer_diameter**2 - knee**2) / (4 * per_speed * speed * feed)
    if top_rpm is not None:
        minutes += (knee - inner_diameter) / 2 / (feed * top_rpm)
    return minutes


def turning_removal_rate(mean_diameter: float, depth: float, feed: float, rpm: float, units: Units) -> float:
    """Return in3/min or cm3/min: pi D_mean d f N. Source: Kalpakjian and Schmid, Example 22.1."""
    return math.pi * mean_diameter * depth * feed * rpm / (1.0 if units == "in" else 1000.0)


def thread_turning_minutes(
    diameter: float, length: float, pitch: float, speed: float, cuts: int, units: Units
) -> float:  # fmt: skip
    """Return minutes of single-point threading without returns. Source: P. C. Sharma, Production Engineering, ch. 4."""
    return cuts * length / (pitch * spindle_speed(speed, diameter, units))


def clean_up_diameter(finished: float, share_per_side: float = 0.016) -> float:
    """Return the smallest hot-rolled diameter that cleans up: 1.6 % of the stock's diameter a side; any unit.

    Source: clean-up stock on machining bar, a bar supplier's page: stock = finished / 0.968.
    """
    return finished / (1 - 2 * share_per_side)
