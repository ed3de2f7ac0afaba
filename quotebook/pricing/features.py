"""The kinds of feature: minutes, removal rate and chip of one cut, by the functions of ``quotebook.machining``."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quotebook.machining import holes, milling, speeds, turning
from quotebook.machining.units import Units
from quotebook.model import Cutting

#: Which row of the speeds table a kind of feature takes.
CUT_OF_KIND: dict[str, str] = {
    "turning": "turn",
    "facing": "turn",
    "boring": "turn",
    "groove or part off": "groove",
    "part off": "groove",
    "drilling": "drill",
    "counterbore": "drill",
    "reaming": "ream",
    "tapping": "tap",
    "thread milling": "finish",
    "face milling": "mill",
    "slot milling": "mill",
    "pocket milling": "mill",
    "contour milling": "mill",
    "finish milling": "finish",
    "chamfer or deburr": "finish",
}
#: Cut from outside inwards at constant surface speed.
GROOVES = ("groove or part off", "part off")
MILLS = ("face milling", "slot milling", "pocket milling", "contour milling")


@dataclass(frozen=True)
class Conditions:
    """Speed, feed, steps and machine of a line in its ``units``; ``rapid`` and ``top_rpm`` None: not known."""

    units: Units
    speed: float
    feed: float
    depth: float | None
    width_share: float | None
    teeth: int
    top_rpm: float | None
    rapid: float | None
    approach: float


@dataclass(frozen=True)
class Cut:
    """One feature, cut once: minutes at the full feed, minutes of retracts, and what the power check needs.

    ``diameter``: where the rpm is reckoned. ``removal`` and ``chip`` None: no power check for this kind.
    """

    minutes: float
    rpm: float
    rate: float
    diameter: float
    removal: float | None = None
    chip: float | None = None
    retract_minutes: float = 0.0


def lacking(line: Cutting, at: Conditions) -> tuple[str, ...]:
    """Return the sizes and steps that a line of its kind still needs, by the workbook's columns A to E and P."""
    kind, mills = line.kind, line.kind in MILLS
    turned = kind in ("turning", "boring")
    strips = kind == "finish milling" or (mills and kind != "slot milling")
    threads = kind in ("tapping", "thread milling")
    no_end = (turned and line.end_diameter is None) or (kind == "thread milling" and not line.end_diameter)
    wanted = {
        "A diameter": line.diameter is None,
        "B diameter": no_end,
        "C length": kind not in ("facing", *GROOVES) and line.length is None,
        "D width": strips and line.width is None,
        "E depth": mills and line.depth is None,
        "P pitch": threads and line.pitch is None,
        "depth of one cut": (turned or mills or kind == "facing") and at.depth is None,
        "width of one cut on Speeds": strips and at.width_share is None,
    }
    return tuple(name for name, missing in wanted.items() if missing)


def cut_of(line: Cutting, at: Conditions) -> Cut | None:
    """Return the cut of a line that has a kind; None when a size or a step is missing, or inside is above outside."""
    if line.diameter is None:
        return None
    if line.kind in ("turning", "boring"):
        return _turned(line, at)
    if line.kind in ("facing", *GROOVES):
        return _faced(line, at)
    rpm = speeds.spindle_speed(at.speed, line.diameter, at.units, at.top_rpm)
    if line.length is None:
        return None
    if line.kind in ("drilling", "counterbore", "reaming", "tapping"):
        return _hole(line, at, rpm)
    if line.kind in MILLS:
        return _milled(line, at, rpm)
    return _finished(line, at, rpm)


def _turned(line: Cutting, at: Conditions) -> Cut | None:
    start, end = line.diameter, line.end_diameter
    if start is None or end is None or line.length is None or at.depth is None:
        return None
    mean = (start + end) / 2
    rpm = speeds.spindle_speed(at.speed, mean, at.units, at.top_rpm)
    minutes = turning.turning_minutes(
        start, end, line.length, at.speed, at.feed, at.depth, at.units, at.top_rpm, at.approach
    )
    radial = abs(start - end) / 2
    each = radial / turning.passes(radial, at.depth)
    removal = turning.turning_removal_rate(mean, each, at.feed, rpm, at.units)
    return Cut(minutes, rpm, at.feed * rpm, mean, removal, at.feed)


def _faced(line: Cutting, at: Conditions) -> Cut | None:
    outer, inner = line.diameter, line.end_diameter or 0.0
    if outer is None or inner > outer:
        return None
    rpm = speeds.spindle_speed(at.speed, outer, at.units, at.top_rpm)
    one = turning.facing_minutes(outer, inner, at.speed, at.feed, at.units, at.top_rpm)
    if line.kind in GROOVES:
        removal = None if line.width is None else _rim_removal(outer, line.width, rpm, at)
        return Cut(one, rpm, at.feed * rpm, outer, removal, at.feed)
    if at.depth is None:
        return None
    stock = line.depth or at.depth
    cuts = turning.passes(stock, at.depth)
    return Cut(one * cuts, rpm, at.feed * rpm, outer, _rim_removal(outer, stock / cuts, rpm, at), at.feed)


def _rim_removal(outer: float, depth: float, rpm: float, at: Conditions) -> float:
    """Return the removal rate at the rim, where a facing cut is heaviest."""
    return turning.turning_removal_rate(outer, depth, at.feed, rpm, at.units)


def _hole(line: Cutting, at: Conditions, rpm: float) -> Cut | None:
    diameter, depth = line.diameter, line.length
    assert diameter is not None
    assert depth is not None
    if line.kind == "tapping":
        if line.pitch is None:
            return None
        rate = holes.tapping_feed_rate(line.pitch, rpm)
        return Cut(holes.tapping_minutes(line.pitch, depth, rpm, at.approach), rpm, rate, diameter)
    rate = at.feed * rpm
    if line.kind == "reaming":
        return Cut(holes.reaming_minutes(depth, at.feed, rpm, at.approach), rpm, rate, diameter)
    retract = 0.0
    if line.kind == "counterbore":
        # Flat at the bottom; the power check takes it for solid, which is on the safe side.
        minutes = (depth + at.approach) / rate
    else:
        minutes = holes.drilling_minutes(diameter, depth, at.feed, rpm, at.approach)
        if line.peck is not None and at.rapid is not None:
            retract = holes.peck_minutes(depth, line.peck, at.rapid)
    chip = at.feed / 2 * math.sin(math.radians(holes.POINT_ANGLE / 2))
    return Cut(minutes, rpm, rate, diameter, holes.drilling_removal_rate(diameter, rate, at.units), chip, retract)


def _milled(line: Cutting, at: Conditions, rpm: float) -> Cut | None:
    tool, length, stock = line.diameter, line.length, line.depth
    slot = line.kind == "slot milling"
    share = 1.0 if slot else at.width_share
    width = line.diameter if slot else line.width
    if tool is None or length is None or stock is None or at.depth is None or share is None or width is None:
        return None
    step = share * tool
    # Cuts are whole; strips across a face or a pocket and radial cuts of a contour share the width evenly.
    engaged = width / turning.passes(width, step)
    # A feed that the estimator types is taken as it is; only the table's feed knows nothing of the width of cut.
    feed = at.feed if line.feed is not None else at.feed * speeds.thinning_factor(engaged / tool)
    rate = speeds.feed_rate(feed, rpm, at.teeth)
    if line.kind == "face milling":
        minutes = milling.face_milling_minutes(length, width, stock, tool, step, at.depth, rate)
    elif slot:
        minutes = milling.slot_milling_minutes(length, stock, tool, at.depth, rate)
    elif line.kind == "pocket milling":
        minutes = milling.pocket_milling_minutes(length, width, stock, engaged, at.depth, rate)
    else:
        minutes = milling.contour_milling_minutes(length, width, stock, step, at.depth, rate, at.approach)
    level = stock / turning.passes(stock, at.depth)
    chip = feed * speeds.mean_chip_ratio(engaged / tool)
    return Cut(minutes, rpm, rate, tool, milling.removal_rate(level, engaged, rate, at.units), chip)


def _finished(line: Cutting, at: Conditions, rpm: float) -> Cut | None:
    tool, length = line.diameter, line.length
    assert tool is not None
    assert length is not None
    rate = speeds.feed_rate(at.feed, rpm, at.teeth)
    if line.kind == "chamfer or deburr":
        return Cut(length / rate, rpm, rate, tool)
    if line.kind == "thread milling":
        if line.pitch is None or not line.end_diameter:
            return None
        return Cut(holes.thread_milling_minutes(line.end_diameter, line.pitch, length, rate), rpm, rate, tool)
    if line.width is None or at.width_share is None:
        return None
    step = at.width_share * tool
    return Cut(milling.area_finishing_minutes(length, line.width, step, rate), rpm, rate, tool)
