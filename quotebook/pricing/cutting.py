"""Cutting lines: what a feature takes by its kind and sizes, checked against the machine's limits.

All in the drawing's units; the shop's table and machines are converted to them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from quotebook.machining import power, tool_life
from quotebook.machining.speeds import surface_speed
from quotebook.machining.units import KW_PER_POWER, M_PER_SPEED, MM_PER_LENGTH, NM_PER_TORQUE
from quotebook.model import Cutting, Job, MaterialGroup, Operation, Shop, SpeedRow, WorkCenter, name_key
from quotebook.pricing.features import CUT_OF_KIND, Conditions, Cut, cut_of, lacking
from quotebook.pricing.money import total
from quotebook.pricing.rates import rates_of
from quotebook.pricing.usual import center_of

USUAL_TOOL = "carbide"


@dataclass(frozen=True)
class LineFigures:
    """One cutting line: minutes for a piece, and how they came about; None is unknown or does not apply.

    ``cut_minutes`` one feature at the feed that the machine's limits leave; ``share_of_feed`` what they leave of it;
    ``power`` kW and ``torque`` N.m before they are cut back; ``tool_cost`` money for one piece;
    ``best_speed`` the speed of least cost; ``lacking`` the sizes that its kind still needs.
    """

    minutes: float | None
    missing: str = ""
    rpm: float | None = None
    rate: float | None = None
    cut_minutes: float | None = None
    power: float | None = None
    torque: float | None = None
    share_of_feed: float = 1.0
    tool_life: float | None = None
    tool_cost: float | None = None
    best_speed: float | None = None
    lacking: tuple[str, ...] = ()


def line_figures(line: Cutting, job: Job, shop: Shop) -> LineFigures:
    """Return the figures of a cutting line of a job in force; ``missing`` tells why its minutes are unknown."""
    operation = next(row for row in job.operations if row.number == line.operation)
    center = center_of(operation, shop)
    figures = _by_rate(line) if line.kind is None else _by_kind(line, operation, center, job, shop)
    rapid = _rapid_minutes(line, center, job)
    if rapid is None:
        figures = replace(
            figures, minutes=None, missing="moves at rapid rate on a machine whose rapid rate is not known"
        )
    if line.minutes is not None:
        return replace(figures, minutes=line.minutes, missing="")
    if figures.minutes is None or rapid is None:
        return figures
    changes = 0.0 if center is None else (line.tool_changes or 0) * center.tool_change_seconds / 60
    each = figures.minutes + rapid + (line.other_seconds or 0.0) / 60
    return replace(figures, minutes=line.count * each + changes)


def tool_cost_per_piece(operation: int, job: Job, shop: Shop) -> float:
    """Return what the edges of an operation cost for one piece, as far as their life and price are known."""
    lines = [line_figures(line, job, shop) for line in job.cutting if line.operation == operation]
    return math.fsum(row.tool_cost or 0.0 for row in lines)


def cycle_of_lines(lines: Sequence[Cutting], job: Job, shop: Shop, missing: list[str]) -> float | None:
    """Return the minutes of an operation's cutting lines; what they lack is added to ``missing``."""
    figures = [line_figures(line, job, shop) for line in lines]
    for line, row in zip(lines, figures, strict=True):
        if row.missing:
            missing.append(f"A cutting line of operation {line.operation} {row.missing}.")
    return total(row.minutes for row in figures)


def material_group(job: Job, shop: Shop) -> MaterialGroup | None:
    """Return how the stock cuts: the job's own word, else the group of the shop's material."""
    name = job.stock.material_group
    if name is None:
        key = name_key(job.stock.material)
        name = next((row.group for row in shop.materials if name_key(row.name) == key), None)
    return next((row for row in shop.material_groups if name_key(row.name) == name_key(name or "")), None)


def _by_rate(line: Cutting) -> LineFigures:
    minutes = 0.0
    for amount, per_minute in ((line.length, line.feed_per_minute), (line.volume, line.removal_rate)):
        if amount:
            if per_minute is None:
                return LineFigures(None, "has a length without a feed, or a volume without a removal rate")
            minutes += amount / per_minute
    return LineFigures(minutes)


def _by_kind(line: Cutting, operation: Operation, center: WorkCenter | None, job: Job, shop: Shop) -> LineFigures:
    group = material_group(job, shop)
    row = _speed_row(line, group, shop)
    at = _conditions(line, row, center, job, shop)
    if at is None:
        if group is None:
            return LineFigures(None, "waits for the stock's material group, or a speed and feed of its own")
        return LineFigures(None, "has no speed and feed: neither a row of the speeds table nor its own")
    lacks = lacking(line, at)
    if lacks:
        return LineFigures(None, f"({line.kind}) lacks: {', '.join(lacks)}", lacking=lacks)
    cut = cut_of(line, at)
    if cut is None:
        return LineFigures(None, f"({line.kind}) has an inside diameter above the outside")
    limits = _limited(cut, group, center, at)
    minutes = cut.minutes / limits.share_of_feed
    costs = _edge_costs(line, minutes, row, at, cut, operation, shop)
    return LineFigures(
        minutes=minutes + cut.retract_minutes, rpm=cut.rpm, rate=cut.rate, cut_minutes=minutes, power=limits.power,
        torque=limits.torque, share_of_feed=limits.share_of_feed, tool_life=costs[0], tool_cost=costs[1],
        best_speed=costs[2],
    )  # fmt: skip


def _speed_row(line: Cutting, group: MaterialGroup | None, shop: Shop) -> SpeedRow | None:
    if group is None or line.kind is None:
        return None
    wanted = (name_key(group.name), name_key(line.tool or USUAL_TOOL), CUT_OF_KIND[line.kind])
    return next((row for row in shop.speeds if (name_key(row.group), name_key(row.tool), row.cut) == wanted), None)


def _conditions(
    line: Cutting, row: SpeedRow | None, center: WorkCenter | None, job: Job, shop: Shop
) -> Conditions | None:
    """Return speed, feed and steps in drawing units: the line's own, else the table's; None: neither gives both."""
    units = job.job.units
    length = speed = 1.0
    if row is not None and row.units != units:
        length = MM_PER_LENGTH[row.units] / MM_PER_LENGTH[units]
        speed = M_PER_SPEED[row.units] / M_PER_SPEED[units]
    v = line.speed if line.speed is not None else (None if row is None else row.speed * speed)
    f = line.feed if line.feed is not None else (None if row is None else row.feed * length)
    # A tap's feed is its pitch.
    if v is None or (f is None and line.kind != "tapping"):
        return None
    depth = None if row is None or row.depth is None else row.depth * length
    return Conditions(
        units=units, speed=v, feed=f or 0.0, depth=line.depth_of_cut or depth,
        width_share=None if row is None else row.width_share,
        teeth=line.teeth or (None if row is None else row.teeth) or 1,
        top_rpm=None if center is None else center.top_speed_rpm,
        rapid=_rapid(center, job), approach=shop.policy.approach_mm / MM_PER_LENGTH[units],
    )  # fmt: skip


def _rapid(center: WorkCenter | None, job: Job) -> float | None:
    if center is None or center.rapid_rate is None:
        return None
    return center.rapid_rate * MM_PER_LENGTH[center.units] / MM_PER_LENGTH[job.job.units]


def _rapid_minutes(line: Cutting, center: WorkCenter | None, job: Job) -> float | None:
    rapid = _rapid(center, job)
    if rapid is None:
        return None if (line.rapid_length or 0.0) > 0 or (line.kind == "drilling" and line.peck is not None) else 0.0
    return (line.rapid_length or 0.0) / rapid


@dataclass(frozen=True)
class _Limits:
    power: float | None
    torque: float | None
    share_of_feed: float


def _limited(cut: Cut, group: MaterialGroup | None, center: WorkCenter | None, at: Conditions) -> _Limits:
    """Return power and torque of a cut, and the share of its feed at which the machine's limits hold."""
    if cut.removal is None or cut.chip is None or group is None:
        return _Limits(None, None, 1.0)
    kc = power.specific_cutting_force(group.cutting_force, group.force_exponent, cut.chip * MM_PER_LENGTH[at.units])
    needed = power.cutting_power(cut.removal, kc, at.units)
    turning = power.torque(needed, cut.rpm, at.units)
    most = most_torque = None
    if center is not None and center.spindle_power is not None:
        own = center.spindle_power * KW_PER_POWER[center.units] / KW_PER_POWER[at.units]
        most = own * (center.drive_efficiency or power.USUAL_EFFICIENCY)
    if center is not None and center.spindle_torque is not None:
        most_torque = center.spindle_torque * NM_PER_TORQUE[center.units] / NM_PER_TORQUE[at.units]
    share = power.cut_back(needed, turning, most, most_torque, group.force_exponent)
    return _Limits(needed * KW_PER_POWER[at.units], turning * NM_PER_TORQUE[at.units], share)


def _edge_costs(
    line: Cutting, minutes: float, row: SpeedRow | None, at: Conditions, cut: Cut, operation: Operation, shop: Shop
) -> tuple[float | None, float | None, float | None]:
    """Return life of an edge, cost of edges for one piece, and the speed of least cost; None: not known."""
    if row is None or row.life_minutes is None or row.life_exponent is None:
        return None, None, None
    table_speed = row.speed * M_PER_SPEED[row.units] / M_PER_SPEED[at.units]
    used = surface_speed(cut.diameter, cut.rpm, at.units)
    life = row.life_minutes * tool_life.extended_life_ratio(row.life_exponent, speed=used / table_speed)
    rates = rates_of(operation, shop)
    if row.edge_cost is None or rates is None:
        return life, None, None
    minute = (rates.machine_cost + operation.attendance_share * rates.labor_cost) / 60
    cost = tool_life.tool_cost(line.count * minutes, life, row.edge_cost, row.change_minutes, minute)
    if minute == 0 or row.edge_cost + row.change_minutes == 0:
        return life, cost, None
    best = tool_life.least_cost_life(row.life_exponent, row.change_minutes, row.edge_cost, minute)
    constant = tool_life.taylor_constant(table_speed, row.life_minutes, row.life_exponent)
    return life, cost, tool_life.speed_for(best, constant, row.life_exponent)
