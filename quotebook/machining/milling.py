"""Milling: travel of the cutter, removal rate, and minutes by strips, by volume and by area."""

from __future__ import annotations

import math

from quotebook.machining.turning import passes
from quotebook.machining.units import Units


def removal_rate(depth: float, width: float, rate: float, units: Units) -> float:
    """Return in3/min or cm3/min: ap ae v_f. Source: milling formulas, Sandvik Coromant."""
    return depth * width * rate / (1.0 if units == "in" else 1000.0)


def slab_travel(length: float, diameter: float, depth: float) -> float:
    """Return l + sqrt(D d - d^2), a disc cutter or slab mill until it is through; any unit.

    Source: P. C. Sharma, Production Engineering, Examples 15.2 and 4.17.
    """
    return length + math.sqrt(diameter * depth - depth**2)


def face_travel(length: float, diameter: float) -> float:
    """Return l + D, a face mill until it has left; any unit. Source: Mitsubishi Materials; Kalpakjian, Example 23.2."""
    return length + diameter


def centred_face_travel(length: float, diameter: float, width: float) -> float:
    """Return l + (D - sqrt(D^2 - w^2)) / 2, a centred face mill until full width is cut; any unit. Source: Sharma."""
    return length + (diameter - math.sqrt(diameter**2 - width**2)) / 2


def face_milling_minutes(
    length: float, width: float, stock: float, diameter: float, width_of_cut: float, depth: float, rate: float
) -> float:
    """Return minutes to face a rectangle in strips and levels, each l + D long; any length unit.

    Source: travel as ``face_travel``; strips and levels: common practice, no source.
    """
    strips = passes(width, width_of_cut)
    return strips * passes(stock, depth) * face_travel(length, diameter) / rate


def slot_milling_minutes(length: float, stock: float, diameter: float, depth: float, rate: float) -> float:
    """Return minutes for a slot as wide as the end mill, level by level, each l + D long; any length unit.

    Source: common practice, no source.
    """
    return passes(stock, depth) * face_travel(length, diameter) / rate


def pocket_milling_minutes(
    length: float, width: float, stock: float, width_of_cut: float, depth: float, rate: float
) -> float:
    """Return minutes to clear a rectangle: its volume over the removal rate of the levels; any length unit.

    Levels are equally deep, so that a fourth level never costs less than a third.
    Source: t = V / Q with Q = ap ae v_f, Sandvik Coromant; equal levels: common practice, no source.
    """
    level = stock / passes(stock, depth)
    return length * width * stock / (level * width_of_cut * rate)


def contour_milling_minutes(
    length: float, radial_stock: float, stock: float, width_of_cut: float, depth: float, rate: float,
    approach: float = 0.0,
) -> float:  # fmt: skip
    """Return minutes along a contour of that length: radial cuts times levels; any length unit.

    Source: t = L / v_f, Mitsubishi Materials; cuts and levels: common practice, no source.
    """
    return passes(radial_stock, width_of_cut) * passes(stock, depth) * (length + approach) / rate


def area_finishing_minutes(length: float, width: float, step_over: float, rate: float) -> float:
    """Return minutes to finish a rectangle in lines at most ``step_over`` apart, whole ones; one length unit.

    Source: t = L / v_f, Mitsubishi Materials; whole lines: common practice, no source.
    """
    return passes(width, step_over) * length / rate
