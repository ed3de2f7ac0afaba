"""Cutting lines of a job: one feature each, by its kind and sizes or by length and volume."""

from __future__ import annotations

from typing import Literal

from quotebook.model.base import Part
from quotebook.model.fields import (
    Count,
    Length,
    Minutes,
    Name,
    OperationNumber,
    PerMinute,
    PiecesFromOne,
    Seconds,
    Size,
    Text,
    Volume,
)

FeatureKind = Literal[
    "turning",
    "facing",
    "boring",
    "groove or part off",
    "part off",
    "drilling",
    "counterbore",
    "reaming",
    "tapping",
    "thread milling",
    "face milling",
    "slot milling",
    "pocket milling",
    "contour milling",
    "finish milling",
    "chamfer or deburr",
]


class Cutting(Part):
    """A feature's cutting time, ``count`` times for one piece; sizes in drawing units.

    Without a ``kind`` the minutes are length / feed_per_minute + volume / removal_rate, each in any one unit. With a
    kind they follow from the sizes and from speed and feed of the shop's table for ``tool`` (a tool material), which
    ``speed`` (ft/min or m/min), ``feed`` (per revolution or tooth) and ``depth_of_cut`` overrule. A feed of its own is
    taken as it is; the table's is raised for thin chips.

    ``diameter``: of the tool, or of the work before turning, facing (outside) and boring; ``end_diameter``: of the
    work afterwards, or the thread's in thread milling; ``length``: along the cut, or depth of a hole; ``width`` and
    ``depth``: of the material to remove; ``peck``: depth between retracts. A size that is None may follow from part,
    stock and usual cutter (``pricing.feature_sizes``). ``tool_changes`` and ``rapid_length`` take the machine's own
    times; they and ``other_seconds`` of a line with a kind: None is the shop's usual, 0 none. ``minutes`` overrules
    all of it, with a ``reason``.
    """

    operation: OperationNumber
    feature: Text = ""
    kind: FeatureKind | None = None
    tool: Name | None = None
    count: Count = 1
    diameter: Size | None = None
    end_diameter: Length | None = None
    length: Length | None = None
    width: Size | None = None
    depth: Size | None = None
    pitch: Size | None = None
    peck: Size | None = None
    teeth: PiecesFromOne | None = None
    speed: PerMinute | None = None
    feed: Size | None = None
    depth_of_cut: Size | None = None
    feed_per_minute: PerMinute | None = None
    volume: Volume | None = None
    removal_rate: PerMinute | None = None
    tool_changes: Count | None = None
    rapid_length: Length | None = None
    other_seconds: Seconds | None = None
    minutes: Minutes | None = None
    reason: Text = ""
