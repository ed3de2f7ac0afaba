"""Drilling, reaming, tapping and thread milling: minutes of cut."""

from __future__ import annotations

import math

from quotebook.machining.units import Units
from quotebook.rounding import ceil_guarded

#: Point angle of a common drill, degrees.
POINT_ANGLE = 118.0


def point_height(diameter: float, point_angle: float = POINT_ANGLE) -> float:
    """Return the height of a drill's point, (D/2) / tan(angle/2); any unit. Source: geometry; 0.30 D at 118 degrees."""
    return diameter / 2 / math.tan(math.radians(point_angle / 2))


def drilling_minutes(diameter: float, depth: float, feed: float, rpm: float, approach: float = 0.0) -> float:
    """Return minutes for one hole: full depth, point and approach at the drilling feed; any length unit.

    Source: drilling formulas, Iscar rotating tools 2017 p. 601; the point by geometry.
    """
    return (depth + point_height(diameter) + approach) / (feed * rpm)


def peck_retracts(depth: float, peck: float) -> int:
    """Return how often the drill leaves the hole before its last peck; any unit. Source: common practice, no source."""
    return max(0, ceil_guarded(depth / peck) - 1)


def peck_minutes(depth: float, peck: float, rapid: float, dwell_seconds: float = 0.0) -> float:
    """Return the minutes that full retracts add: after peck k the drill goes out and back over k pecks at ``rapid``.

    ``rapid`` in length per minute of the same unit. Source: common practice (arithmetic series), no source.
    """
    retracts = peck_retracts(depth, peck)
    distance = 2 * peck * retracts * (retracts + 1) / 2
    return distance / rapid + retracts * dwell_seconds / 60


def reaming_minutes(depth: float, feed: float, rpm: float, approach: float = 0.0) -> float:
    """Return minutes in and out at the reaming feed; any length unit. Source: common practice, no source."""
    return 2 * (depth + approach) / (feed * rpm)


def tapping_feed_rate(pitch: float, rpm: float) -> float:
    """Return length per minute, pitch times rpm; any length unit. Source: midnightcoderlab.com, tapping basics."""
    return pitch * rpm


def tapping_minutes(
    pitch: float, depth: float, rpm: float, run_in: float = 0.0, return_rpm: float | None = None
) -> float:
    """Return minutes in at ``rpm`` and out at ``return_rpm`` (None: the same); any length unit.

    Source: feed = pitch times rpm (midnightcoderlab.com), both ways by arithmetic; reversing is not included.
    """
    travel = depth + run_in
    return travel / (pitch * rpm) + travel / (pitch * (rpm if return_rpm is None else return_rpm))


def thread_milling_minutes(major_diameter: float, pitch: float, depth: float, feed_rate: float) -> float:
    """Return minutes with a single-row thread mill: one turn a pitch and one to enter and leave; any length unit.

    ``feed_rate`` is that of the cutting edge at the major diameter, so that a turn takes pi D / feed whatever the
    cutter's diameter. Source: geometry of circular interpolation.
    """
    turns = depth / pitch + 1
    return turns * math.pi * major_diameter / feed_rate


def drilling_removal_rate(diameter: float, rate: float, units: Units) -> float:
    """Return in3/min or cm3/min: v_f pi D^2 / 4. Source: Iscar rotating tools 2017 p. 601."""
    return rate * math.pi * diameter**2 / 4 / (1.0 if units == "in" else 1000.0)


def drilling_torque(diameter_mm: float, feed_mm: float, kc: float) -> float:
    """Return N.m: f kc D^2 / 8000, lengths in mm, kc in N/mm2. Source: Iscar rotating tools 2017 p. 601."""
    return feed_mm * kc * diameter_mm**2 / 8000


def drilling_feed_force(diameter_mm: float, feed_mm: float, kc: float) -> float:
    """Return N: 0.63 (D/2) f kc, lengths in mm. Source: Iscar rotating tools 2017 p. 601."""
    return 0.63 * diameter_mm / 2 * feed_mm * kc


def sawing_minutes(area: float, rate: float) -> float:
    """Return minutes of a saw cut: section over area per minute. Source: sterlingmachinery.com, band saw guide."""
    return area / rate
