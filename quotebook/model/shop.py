"""The shop profile: rates, work centers, policies, materials and sampling table of one shop."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from quotebook.model.base import (
    BarCharging,
    NonrecurringCharging,
    Part,
    PiecesCharged,
    PricingBasis,
    ProfitRule,
    Units,
)
from quotebook.model.consistency import shop_problems
from quotebook.model.fields import (
    Code,
    Count,
    Date,
    Days,
    Decimals,
    Density,
    Flag,
    Hours,
    Length,
    MarkupShare,
    Minutes,
    MinutesAboveZero,
    Money,
    MoneyStep,
    Name,
    PerMinute,
    PiecesFromOne,
    Power,
    Quantity,
    Rate,
    Rpm,
    Seconds,
    ShareAboveZero,
    ShareBelowOne,
    ShiftHours,
    Size,
    Symbol,
    Text,
    TextNotBlank,
    Weight,
    WholeShare,
)
from quotebook.model.making import StockForm
from quotebook.model.problems import refuse
from quotebook.model.tooling import MaterialGroup, SpeedRow

#: Edges are paid by the machine's rate, or charged on the job: never both.
ToolCostCharging = Literal["inside the rates", "on the job"]
WeightBasis = Literal["per lb", "per kg"]


class ShopHeader(Part):
    """Who the shop is, as it stands at the head of its quotations."""

    name: TextNotBlank
    address: Text = ""
    contact: Text = ""
    note: Text = ""


class Currency(Part):
    """The shop's money; ``decimals`` is the number of places the customer sees."""

    currency_symbol: Symbol = "$"
    currency_code: Code = "USD"
    decimals: Decimals = 2


class Policy(Part):
    """How the shop prices. Shares are 0 to 1 for 0 to 100 %; a job may override some of it.

    Minutes to prove in a tight feature, a bore, a dowel hole, a gauged thread and a seal groove: starting values.

    ``profit_share`` is a share of the price when ``profit_rule`` is "margin" (below 1) and a share
    of the cost when it is "markup". ``purchase_step`` 0 means that purchases are not rounded.
    """

    pricing_basis: PricingBasis = "sell rates"
    profit_rule: ProfitRule = "margin"
    profit_share: MarkupShare = 0.25
    nonrecurring_carries_profit: Flag = True
    nonrecurring_charging: NonrecurringCharging = "own line"
    stock_markup: MarkupShare
    hardware_markup: MarkupShare
    outside_markup: MarkupShare
    nonrecurring_markup: MarkupShare
    purchase_step: Money = 0.0
    price_step: MoneyStep = 0.01
    order_minimum: Money = 0.0
    expedite_share: MarkupShare = 0.25
    bar_charging: BarCharging = "whole bars"
    pieces_charged: PiecesCharged = "surviving"
    touch_off_minutes: Minutes = 4.0
    prove_in_minutes: Minutes = 20.0
    bore_minutes: Minutes = 20.0
    dowel_minutes: Minutes = 15.0
    thread_minutes: Minutes = 8.0
    groove_minutes: Minutes = 15.0
    approach_mm: Length = 2.0
    tool_cost_charging: ToolCostCharging = "inside the rates"
    smallest_lot: PiecesFromOne = 1
    largest_lot: PiecesFromOne = 100_000
    margin_floor: ShareBelowOne = 0.1
    quotation_valid_days: Days = 30


class HandRate(Part):
    """A person's hour: what it costs the shop, burden included, and what it is sold for.

    With ``built_up`` the cost is ``wage`` (1 + ``wage_burden``) / ``productive_share`` of the paid hours, and the sell
    rate follows from ``target_margin``; the typed rates then only stand beside it. ``usual_cycle_minutes``: of a piece,
    for an operation at this rate that says no cycle and has no cutting lines.
    """

    name: Name
    cost_rate: Rate
    sell_rate: Rate
    built_up: Flag = False
    wage: Rate | None = None
    wage_burden: MarkupShare = 0.0
    productive_share: ShareAboveZero = 1.0
    target_margin: ShareBelowOne = 0.0
    usual_cycle_minutes: MinutesAboveZero | None = None


class WorkCenter(Part):
    """A machine or bench: envelope and tolerance in its own ``units``, rates per machine hour.

    ``operator`` names the hand rate of the person beside it; None: the person is in the machine's rate.
    Limits that are None are not known: hp, lbf.ft and lb, or kW, N.m and kg; ``drive_efficiency`` is the share of the
    motor's power that cuts (0.8 when not given); ``rapid_rate`` length per minute. With ``built_up`` the cost of an
    hour is built up from price, life and what a year costs, over ``hours_per_year`` times ``utilisation``.
    ``hours_per_day``: capacity for the lead time (8 when not given). ``usual_setup_hours``, ``usual_load_minutes``,
    ``usual_first_piece_minutes`` and ``usual_holding`` (a name of the shop's work holding table) hold for an operation
    here that says none of its own, ``usual_cycle_minutes`` for one without a cycle and cutting lines.
    """

    name: Name
    units: Units
    travel_x: Size
    travel_y: Size
    travel_z: Size
    holding_tolerance: Size
    cost_rate: Rate
    sell_rate: Rate
    operator: Name | None = None
    top_speed_rpm: Rpm | None = None
    spindle_power: Power | None = None
    spindle_torque: Power | None = None
    drive_efficiency: ShareAboveZero | None = None
    rapid_rate: PerMinute | None = None
    tool_change_seconds: Seconds = 0.0
    table_load: Weight | None = None
    built_up: Flag = False
    purchase_price: Money | None = None
    salvage_value: Money = 0.0
    life_years: Quantity | None = None
    floor_area: Money = 0.0
    upkeep_per_year: Money = 0.0
    insurance_per_year: Money = 0.0
    connected_kw: Money = 0.0
    load_share: WholeShare = 0.5
    hours_per_year: Quantity | None = None
    utilisation: ShareAboveZero = 1.0
    target_margin: ShareBelowOne = 0.0
    hours_per_day: ShiftHours | None = None
    usual_setup_hours: Hours | None = None
    usual_load_minutes: Minutes | None = None
    usual_holding: Name | None = None
    usual_first_piece_minutes: Minutes | None = None
    usual_cycle_minutes: MinutesAboveZero | None = None


class Burden(Part):
    """What every machine's hour carries: interest a year, floor cost per area and year, money per kWh."""

    interest: WholeShare = 0.0
    floor_cost: Money = 0.0
    power_tariff: Money = 0.0


class Usual(Part):
    """What the shop takes where a job's cell is left blank; lengths in ``units``. None: nothing is taken.

    ``tool_changes`` (which are tools to touch off, too), ``rapid_length`` and, where it has a kind,
    ``other_seconds`` of each feature (spot drill, finish pass, dwell) hold for a cutting line, ``facing``,
    ``kerf``, ``bar_length`` and ``grip`` for stock. ``clean_up`` (both sides together) also lets blank stock sizes
    follow from the part's. ``face_mill``, ``end_mill`` and ``chamfer_tool`` are diameters of cutters, for a cutting
    line that names none, ``face_mill_teeth`` the teeth of that face mill. With ``feature_sizes`` a line's blank
    sizes follow from part and stock where these leave no doubt (``pricing.feature_sizes``), and blank sizes of flat
    bar too.
    """

    units: Units = "mm"
    tool_changes: Count | None = None
    rapid_length: Length | None = None
    other_seconds: Seconds | None = None
    clean_up: Length | None = None
    facing: Length | None = None
    kerf: Length | None = None
    bar_length: Size | None = None
    grip: Length | None = None
    face_mill: Size | None = None
    face_mill_teeth: PiecesFromOne | None = None
    end_mill: Size | None = None
    chamfer_tool: Size | None = None
    feature_sizes: Flag = False


class Material(Part):
    """A material with its density in g/cm3, where that figure is from, and the ``group`` of how it cuts.

    ``usual_price`` per lb or kg prices stock for which no supplier's price is at hand.
    """

    name: Name
    density: Density
    source: Text = ""
    group: Name | None = None
    usual_price: Money | None = None
    usual_price_basis: WeightBasis | None = None


class SamplingRow(Part):
    """From a lot of ``lot_from`` pieces on, ``sample`` pieces are measured."""

    lot_from: PiecesFromOne
    sample: PiecesFromOne


class WorkHolding(Part):
    """A way of holding work, and the minutes that setting it up takes."""

    name: Name
    minutes: Minutes


class StandardSize(Part):
    """A size in which stock of a form is sold: diameter, across flats, side or thickness."""

    form: StockForm
    units: Units
    size: Size


class SpecialProcess(Part):
    """A special process that the shop can have done, and where."""

    name: Name
    where: Text = ""


class Shop(Part):
    """The whole profile of a shop.

    Shape:  1 to 12 hand rates, 1 to 16 work centers, up to 40 materials, up to 16 sampling rows.
    Errors: pydantic's ValidationError when built by hand; InputError when read from a file.
    """

    shop: ShopHeader
    money: Currency = Currency()
    policy: Policy
    hand_rates: tuple[HandRate, ...] = Field(
        validation_alias="hand_rate", serialization_alias="hand_rate", min_length=1, max_length=12
    )
    work_centers: tuple[WorkCenter, ...] = Field(
        validation_alias="work_center", serialization_alias="work_center", min_length=1, max_length=16
    )
    materials: tuple[Material, ...] = Field(
        default=(), validation_alias="material", serialization_alias="material", max_length=40
    )
    sampling: tuple[SamplingRow, ...] = Field(default=(), max_length=16)
    material_groups: tuple[MaterialGroup, ...] = Field(
        default=(), validation_alias="material_group", serialization_alias="material_group", max_length=40
    )
    work_holdings: tuple[WorkHolding, ...] = Field(
        default=(), validation_alias="work_holding", serialization_alias="work_holding", max_length=24
    )
    standard_sizes: tuple[StandardSize, ...] = Field(
        default=(), validation_alias="standard_size", serialization_alias="standard_size", max_length=120
    )
    special_processes: tuple[SpecialProcess, ...] = Field(
        default=(), validation_alias="special_process", serialization_alias="special_process", max_length=24
    )
    burden: Burden = Burden()
    usual: Usual = Usual()
    holidays: tuple[Date, ...] = Field(default=(), max_length=60)
    speeds: tuple[SpeedRow, ...] = Field(
        default=(), validation_alias="speed", serialization_alias="speed", max_length=120
    )

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(shop_problems(self), self)
        return self
