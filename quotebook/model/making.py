"""How the part is made: stock, operations, cutting lines and inspection of a job."""

from __future__ import annotations

from typing import Literal

from quotebook.model.base import Part, Units
from quotebook.model.fields import (
    Attendance,
    Count,
    Density,
    Hours,
    Length,
    MarkupShare,
    Minutes,
    Money,
    Name,
    OperationNumber,
    PerMinute,
    Pieces,
    PiecesFromOne,
    Seconds,
    ShareBelowOne,
    Size,
    Text,
    Volume,
    Weight,
)

StockForm = Literal[
    "round bar",
    "hex bar",
    "square bar",
    "flat bar",
    "tube",
    "plate",
    "block",
    "casting",
    "customer supplied",
    "no stock",
]
PriceBasis = Literal["each", "per lb", "per kg", "per ft", "per m"]
InspectionPlan = Literal["every piece", "sampling table", "fixed number", "none"]


class Stock(Part):
    """The material before the first cut; lengths in ``units``, or in the drawing's when None.

    ``size_a`` is diameter, across flats, side, width or outside diameter; ``size_b`` the thickness of
    flat, plate and block; ``facing`` both ends together; ``grip`` the bar end that cannot be used.
    ``pieces_per_unit`` overrules the computed pieces per bar, ``unit_weight`` (lb or kg) the computed
    weight of a bar or blank, ``density`` (g/cm3) the shop's table, ``markup_share`` the shop's policy.
    """

    form: StockForm | None = None
    material: Text = ""
    specification: Text = ""
    certificate: Text = ""
    units: Units | None = None
    density: Density | None = None
    size_a: Size | None = None
    size_b: Size | None = None
    wall: Size | None = None
    piece_length: Size | None = None
    facing: Length = 0.0
    kerf: Length = 0.0
    bar_length: Size | None = None
    grip: Length = 0.0
    pieces_per_unit: PiecesFromOne | None = None
    unit_weight: Weight | None = None
    price_basis: PriceBasis | None = None
    price: Money | None = None
    supplier_minimum: Money = 0.0
    freight: Money = 0.0
    markup_share: MarkupShare | None = None
    actual_cost: Money | None = None


class Operation(Part):
    """One line of the routing. ``cycle_minutes`` None: the cycle is the sum of its cutting lines.

    ``hand_rate`` prices the whole operation at that rate, whatever the work center.
    """

    number: OperationNumber
    description: Text = ""
    work_center: Name | None = None
    hand_rate: Name | None = None
    setup_base_hours: Hours = 0.0
    touch_offs: Count = 0
    tight_features: Count = 0
    cycle_minutes: Minutes | None = None
    load_minutes: Minutes = 0.0
    pieces_per_load: PiecesFromOne = 1
    attendance_share: Attendance = 1.0
    scrap_share: ShareBelowOne = 0.0
    low_cycle_minutes: Minutes | None = None
    high_cycle_minutes: Minutes | None = None
    actual_setup_hours: Hours | None = None
    actual_run_hours: Hours | None = None
    actual_pieces: Pieces | None = None


class Cutting(Part):
    """A feature's cutting time: ``count`` times (length / feed + volume / removal rate + other).

    Length and feed per minute in any one unit, volume and removal rate per minute likewise.
    """

    operation: OperationNumber
    feature: Text = ""
    count: Count = 1
    length: Length | None = None
    feed_per_minute: PerMinute | None = None
    volume: Volume | None = None
    removal_rate: PerMinute | None = None
    other_seconds: Seconds = 0.0


class Inspection(Part):
    """Measuring a lot: hours per lot, minutes per piece of the sample, and how large the sample is."""

    rate: Name | None = None
    setup_hours: Hours = 0.0
    report_hours: Hours = 0.0
    minutes_per_piece: Minutes = 0.0
    plan: InspectionPlan = "every piece"
    fixed_sample: PiecesFromOne | None = None
