"""Random cutting lines: by feed and volume, and by every kind of feature."""

from __future__ import annotations

from typing import get_args

from hypothesis import strategies as st

from quotebook.model import Cutting, Shop
from quotebook.model.cutting import FeatureKind
from tests.kinds import Draw, numbers, optional, texts, usually


@st.composite
def cutting_lines(draw: Draw, moves: bool, units: str, number: int, complete: bool) -> Cutting:
    """Cutting lines without a kind (length, volume, both, seconds alone) or with one.

    ``moves``: the rapid rate of the operation's machine is known.
    """
    if draw(st.booleans()):
        return draw(plain_lines(number, complete))
    return draw(feature_lines(moves or not complete, units, number, complete))


@st.composite
def plain_lines(draw: Draw, number: int, complete: bool) -> Cutting:
    """Lines by length and feed, volume and removal rate."""
    length, volume = draw(optional(numbers(0, 200))), draw(optional(numbers(0, 50)))
    feed = draw(numbers(0.1, 300)) if (complete and length is not None) or draw(st.booleans()) else None
    removal = draw(numbers(0.1, 30)) if (complete and volume is not None) or draw(st.booleans()) else None
    return Cutting(
        operation=number,
        feature=draw(texts),
        count=draw(usually(1, st.integers(0, 12))),
        length=length,
        feed_per_minute=feed,
        volume=volume,
        removal_rate=removal,
        other_seconds=draw(optional(usually(0.0, numbers(0, 120)))),
        tool_changes=draw(optional(st.integers(0, 3))),
    )


@st.composite
def feature_lines(draw: Draw, moves: bool, units: str, number: int, complete: bool) -> Cutting:
    """Lines of every kind; a complete one brings its own speed and feed, or its own minutes."""
    scale = 1.0 if units == "in" else 25.0

    def needed(low: float, high: float) -> float | None:
        return draw(numbers(low, high)) * scale if complete or draw(st.integers(0, 5)) else None

    kind = draw(st.sampled_from(get_args(FeatureKind)))
    diameter = needed(0.05, 3)
    inside = diameter is not None and kind in ("facing", "groove or part off", "part off")
    end = diameter * draw(numbers(0, 0.9)) if inside and diameter is not None else needed(0.1, 4)
    own = complete or draw(st.booleans())
    # The width of one cut stands only in the shop's table: without a row such a line needs minutes of its own.
    tabled = kind in ("face milling", "pocket milling", "contour milling", "finish milling")
    minutes = draw(numbers(0, 30)) if (complete and tabled) or not draw(st.integers(0, 6)) else None
    return Cutting(
        operation=number,
        feature=draw(texts),
        kind=kind,
        tool=draw(optional(st.sampled_from(["carbide", "HSS"]))),
        count=draw(usually(1, st.integers(0, 12))),
        diameter=diameter,
        end_diameter=end,
        length=needed(0.01, 8),
        width=needed(0.05, 4),
        depth=needed(0.05, 2),
        pitch=needed(0.02, 0.2),
        peck=needed(0.05, 1) if moves and draw(st.booleans()) else None,
        teeth=draw(optional(st.integers(1, 8))),
        speed=draw(numbers(5, 900)) if own else None,
        feed=draw(numbers(0.001, 0.03, 4)) * scale if own else None,
        depth_of_cut=draw(numbers(0.01, 0.5)) * scale if own else None,
        tool_changes=draw(optional(st.integers(0, 3))),
        rapid_length=draw(optional(usually(0.0, numbers(0, 40)))) if moves else draw(optional(st.just(0.0))),
        other_seconds=draw(optional(usually(0.0, numbers(0, 120)))),
        minutes=minutes,
        reason=draw(texts),
    )


def rapid_known(shop: Shop, center: str | None) -> bool:
    """Tell whether a work center's rapid rate is known."""
    return any(row.name == center and row.rapid_rate is not None for row in shop.work_centers)
