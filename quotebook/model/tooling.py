"""What the shop knows about cutting: groups of materials, and speeds and feeds for each kind of cut."""

from __future__ import annotations

from typing import Literal

from quotebook.model.base import Part, Units
from quotebook.model.fields import (
    Exponent,
    Force,
    Minutes,
    MinutesAboveZero,
    Money,
    Name,
    PerMinute,
    PiecesFromOne,
    ShareAboveZero,
    Size,
    Text,
)

CutKind = Literal["turn", "groove", "drill", "ream", "tap", "mill", "finish"]


class MaterialGroup(Part):
    """Materials that cut alike: specific cutting force at 1 mm chip thickness (N/mm2) and its exponent (Kienzle)."""

    name: Name
    cutting_force: Force
    force_exponent: Exponent = 0.25
    source: Text = ""


class SpeedRow(Part):
    """Speed and feed for one group, tool material and kind of cut, in the row's own ``units``.

    ``speed`` ft/min or m/min; ``feed`` in or mm per revolution, or per tooth in milling; ``depth`` of one cut;
    ``width_share`` of the cutter's diameter; ``life_minutes`` of an edge at that speed, ``life_exponent`` Taylor's n,
    ``edge_cost`` money, ``change_minutes`` to change an edge.
    """

    group: Name
    tool: Name
    cut: CutKind
    units: Units
    speed: PerMinute
    feed: Size
    depth: Size | None = None
    width_share: ShareAboveZero | None = None
    teeth: PiecesFromOne | None = None
    life_minutes: MinutesAboveZero | None = None
    life_exponent: Exponent | None = None
    edge_cost: Money | None = None
    change_minutes: Minutes = 0.0
    source: Text = ""
