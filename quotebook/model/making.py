"""How the part is made: stock, operations and inspection of a job."""

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
    Pieces,
    PiecesFromOne,
    ShareAboveZero,
    ShareBelowOne,
    Size,
    Text,
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
InspectionPlan = Literal[
    "every piece", "sampling table", "fixed number", "acceptance quality", "zero acceptance", "none"
]
InspectionLevel = Literal["I", "II", "III", "S-1", "S-2", "S-3", "S-4"]
AcceptanceQuality = Literal["AQL 0.65", "AQL 1.0", "AQL 1.5", "AQL 2.5", "AQL 4.0"]


class Stock(Part):
    """The material before the first cut; lengths in ``units``, or in the drawing's when None.

    ``size_a`` is diameter, across flats, side, width or outside diameter; ``size_b`` the thickness of
    flat, plate and block; ``facing`` both ends together; ``grip`` the bar end that cannot be used.
    ``pieces_per_unit`` overrules the computed pieces per bar, ``unit_weight`` (lb or kg) the computed
    weight of a bar or blank, ``density`` (g/cm3) the shop's table, ``markup_share`` the shop's policy,
    ``material_group`` the group of the shop's material, by which speeds and cutting forces are looked up.
    ``sheet_length`` and ``sheet_width``: a plate from which blanks of piece_length by size_a are nested, ``sheet_edge``
    lost on every side. ``facing``, ``kerf``, ``grip`` and ``clean_up`` None: the shop's usual, 0: none.
    ``finished_weight`` of one piece (lb or kg). ``finished_size`` and ``clean_up`` ask for the next
    standard size. ``low_share`` and ``high_share``: how far the purchase may come out below and above.
    """

    form: StockForm | None = None
    material: Text = ""
    specification: Text = ""
    certificate: Text = ""
    units: Units | None = None
    density: Density | None = None
    material_group: Name | None = None
    size_a: Size | None = None
    size_b: Size | None = None
    wall: Size | None = None
    piece_length: Size | None = None
    facing: Length | None = None
    kerf: Length | None = None
    bar_length: Size | None = None
    grip: Length | None = None
    pieces_per_unit: PiecesFromOne | None = None
    unit_weight: Weight | None = None
    sheet_length: Size | None = None
    sheet_width: Size | None = None
    sheet_edge: Length = 0.0
    finished_weight: Weight | None = None
    finished_size: Size | None = None
    clean_up: Length | None = None
    price_basis: PriceBasis | None = None
    price: Money | None = None
    supplier_minimum: Money = 0.0
    freight: Money = 0.0
    markup_share: MarkupShare | None = None
    low_share: ShareBelowOne = 0.0
    high_share: MarkupShare = 0.0
    actual_cost: Money | None = None


class Operation(Part):
    """One line of the routing. ``cycle_minutes`` None: the sum of its cutting lines, without any the usual cycle.

    ``hand_rate`` prices the whole operation at that rate, whatever the work center. A setup is built up from base
    hours, ``work_holding`` (by the shop's table), tools to touch off, features to prove in by class, and the check of
    the first piece; ``setup_hours_overruled`` overrules it, ``cycle_minutes`` the cycle, each with a reason.
    ``setup_base_hours``, ``load_minutes``, ``work_holding`` and ``first_piece_minutes`` None: the work center's usual,
    if no hand rate is named; 0: none.
    ``touch_offs`` None: one for each tool change of its cutting lines, where the shop has usual tool changes.
    """

    number: OperationNumber
    description: Text = ""
    work_center: Name | None = None
    hand_rate: Name | None = None
    setup_base_hours: Hours | None = None
    touch_offs: Count | None = None
    tight_features: Count = 0
    work_holding: Name | None = None
    tight_bores: Count = 0
    dowel_holes: Count = 0
    gauged_threads: Count = 0
    seal_grooves: Count = 0
    first_piece_minutes: Minutes | None = None
    setup_hours_overruled: Hours | None = None
    setup_reason: Text = ""
    cycle_minutes: Minutes | None = None
    cycle_reason: Text = ""
    load_minutes: Minutes | None = None
    pieces_per_load: PiecesFromOne = 1
    attendance_share: Attendance = 1.0
    scrap_share: ShareBelowOne = 0.0
    low_cycle_minutes: Minutes | None = None
    high_cycle_minutes: Minutes | None = None
    actual_setup_hours: Hours | None = None
    actual_run_hours: Hours | None = None
    actual_pieces: Pieces | None = None


class Inspection(Part):
    """Measuring a lot: hours per lot, minutes per piece of the sample, and how large the sample is.

    ``level`` and ``quality`` choose the plan "acceptance quality"; "zero acceptance" shows with ``zero_confidence``
    that fewer than ``zero_bad_share`` are bad. ``limiting_share``: bad pieces at which the customer's risk is reckoned.
    ``gauge_cost`` money per lot for gauges' wear and calibration.
    """

    rate: Name | None = None
    setup_hours: Hours = 0.0
    report_hours: Hours = 0.0
    minutes_per_piece: Minutes = 0.0
    plan: InspectionPlan = "every piece"
    fixed_sample: PiecesFromOne | None = None
    level: InspectionLevel = "II"
    quality: AcceptanceQuality = "AQL 1.0"
    zero_bad_share: ShareAboveZero = 0.05
    zero_confidence: ShareBelowOne = 0.9
    limiting_share: ShareAboveZero = 0.1
    certificate_hours: Hours = 0.0
    gauge_cost: Money = 0.0
