"""Stock: section, weight, pieces per bar and plate, buy-to-fly, the next standard size up."""

from __future__ import annotations

import math
from collections.abc import Iterable

from quotebook.machining.units import G_PER_CM3_IN_LB_PER_IN3, MM_PER_INCH, MM_PER_LENGTH, Units
from quotebook.rounding import floor_guarded, round_half_away

#: Extra material to order for bar-fed work, by piece with cut-off in inches. Source: Precision Machined Products
#: Association, "How much stock is required". Replaced by the exact count where the bar's length is known.
BAR_FEED_ALLOWANCE = ((2.0, 0.05), (3.0, 0.065), (4.0, 0.085), (math.inf, 0.10))


def round_area(diameter: float) -> float:
    """Return pi/4 D^2. Source: geometry."""
    return math.pi / 4 * diameter**2


def hexagon_area(across_flats: float) -> float:
    """Return sqrt(3)/2 AF^2. Source: geometry."""
    return math.sqrt(3) / 2 * across_flats**2


def tube_area(outside: float, wall: float) -> float:
    """Return pi t (OD - t). Source: geometry."""
    return math.pi * wall * (outside - wall)


def weight(volume: float, density: float, units: Units) -> float:
    """Return lb for in3, kg for mm3; density in g/cm3. Source: definitions of pound and inch."""
    if units == "in":
        return volume * density / G_PER_CM3_IN_LB_PER_IN3
    return volume / 1000 * density / 1000


def pieces_per_bar(bar: float, grip: float, piece: float, facing: float, kerf: float) -> int:
    """Return whole pieces from a bar-fed bar, 0 when none fits; any length unit. Source: common practice, no source."""
    return max(0, floor_guarded((bar - grip) / (piece + facing + kerf)))


def pieces_per_plate(
    length: float, width: float, piece_length: float, piece_width: float, kerf: float, edge: float
) -> int:
    """Return pieces of a simple grid, the better of both turns; any length unit.

    ``edge`` is lost on every side; the last row needs no kerf. Source: common practice, no source.
    """

    def grid(one: float, other: float) -> int:
        along = floor_guarded((length - 2 * edge + kerf) / (one + kerf))
        across = floor_guarded((width - 2 * edge + kerf) / (other + kerf))
        return max(0, along) * max(0, across)

    return max(grid(piece_length, piece_width), grid(piece_width, piece_length))


def buy_to_fly(bought: float, finished: float) -> float:
    """Return bought over finished weight, one unit. Source: common practice, no source."""
    return bought / finished


def bar_feed_allowance(piece_and_cut_off: float, units: Units) -> float:
    """Return the share of extra material by rule of thumb. Source: ``BAR_FEED_ALLOWANCE``."""
    inches = round_half_away(piece_and_cut_off * MM_PER_LENGTH[units] / MM_PER_INCH, 6)
    return next(share for limit, share in BAR_FEED_ALLOWANCE if inches < limit)


def next_size_up(needed: float, units: Units, sizes: Iterable[tuple[float, Units]]) -> float | None:
    """Return the smallest standard size that is not below what is needed, in mm; None: the table has none.

    Compared to a millionth of a millimetre, so that 10 in is enough for 254 mm. Source: common practice, no source.
    """
    wanted = round_half_away(needed * MM_PER_LENGTH[units], 6)
    known = [round_half_away(size * MM_PER_LENGTH[own], 6) for size, own in sizes]
    return min((size for size in known if size >= wanted), default=None)
