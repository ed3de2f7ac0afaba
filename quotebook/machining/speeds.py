"""Spindle speed, feed rate and chip thickness: what every cutting time begins with."""

from __future__ import annotations

import math

from quotebook.machining.units import LENGTHS_PER_SPEED, Units

#: Thin chips allow a faster feed; an estimate goes no further than this (common practice, no source).
LARGEST_THINNING_FACTOR = 3.0


def spindle_speed(surface_speed: float, diameter: float, units: Units, top_rpm: float | None = None) -> float:
    """Return rpm = 1000 v / (pi D) in mm and m/min, 12 V / (pi D) in inches and ft/min, never above ``top_rpm``.

    Source: formulas for turning, Mitsubishi Materials; pi is not rounded here.
    """
    rpm = LENGTHS_PER_SPEED[units] * surface_speed / (math.pi * diameter)
    return rpm if top_rpm is None else min(rpm, top_rpm)


def surface_speed(diameter: float, rpm: float, units: Units) -> float:
    """Return the speed at the diameter: m/min for mm, ft/min for inches. Source: as ``spindle_speed``."""
    return math.pi * diameter * rpm / LENGTHS_PER_SPEED[units]


def feed_rate(feed: float, rpm: float, teeth: int = 1) -> float:
    """Return length per minute from feed per revolution (``teeth`` 1) or per tooth; any length unit.

    Source: v_f = f n, v_f = f_z z n; formulas for turning and milling, Mitsubishi Materials.
    """
    return feed * teeth * rpm


def feed_per_tooth(rate: float, rpm: float, teeth: int) -> float:
    """Return feed per tooth from the table feed; any length unit. Source: as ``feed_rate``."""
    return rate / (rpm * teeth)


def largest_chip_ratio(width_share: float) -> float:
    """Return largest chip thickness over feed per tooth, for a cut of ``width_share`` of the cutter's diameter.

    2 sqrt(x (1 - x)) below half the diameter, else 1. Source: geometry of the circular tooth path.
    """
    if width_share >= 0.5:
        return 1.0
    return 2 * math.sqrt(width_share * (1 - width_share))


def mean_chip_ratio(width_share: float) -> float:
    """Return mean chip thickness over feed per tooth, about sqrt(ae / D). Source: Stellram milling catalogue p. 87."""
    return math.sqrt(min(width_share, 1.0))


def thinning_factor(width_share: float) -> float:
    """Return by how much the feed may rise so that the largest chip is as thick as in a full cut, 1 to 3.

    Source: geometry (``largest_chip_ratio``); the limit of 3 is common practice, no source.
    """
    return min(LARGEST_THINNING_FACTOR, 1 / largest_chip_ratio(width_share))


def lead_angle_feed(chip: float, entering_angle_degrees: float) -> float:
    """Return the feed per tooth for a chip thickness at an entering angle. Source: Stellram catalogue p. A288."""
    return chip / math.sin(math.radians(entering_angle_degrees))


def theoretical_roughness(feed: float, nose_radius: float) -> float:
    """Return R_max = f^2 / (8 r) in the unit of the arguments. Source: Kyocera catalogue 2016-2017 p. R32."""
    return feed**2 / (8 * nose_radius)
