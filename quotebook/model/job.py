"""The job: one part to be quoted, with everything that its price depends on but the shop's rates."""

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
from quotebook.model.buying import Actuals, Buyout, Nonrecurring, SupplierPrice
from quotebook.model.consistency import job_problems
from quotebook.model.cutting import Cutting
from quotebook.model.extras import Extra, Learning
from quotebook.model.fields import (
    Date,
    Days,
    Flag,
    Interest,
    MarkupShare,
    Money,
    Name,
    Pieces,
    PiecesFromOne,
    ShareBelowOne,
    Size,
    Text,
    Weight,
    WholeShare,
)
from quotebook.model.making import Inspection, Operation, Stock
from quotebook.model.problems import refuse

FreightTerms = Literal["in the price", "customer's account"]
Offer = Literal["firm", "budgetary"]
ToleranceMaker = Literal["the machine", "a sized tool"]


class JobHeader(Part):
    """Who asks for what, how many, and under which terms.

    ``units`` are the drawing's. Fields that are None in the second half leave the shop's policy in force.
    ``spread_quantity`` None: nonrecurring that is spread is spread over the lot's own quantity.
    """

    customer: Text = ""
    contact: Text = ""
    part_number: Text = ""
    part_name: Text = ""
    revision: Text = ""
    quote_number: Text = ""
    prepared_by: Text = ""
    units: Units
    quote_date: Date | None = None
    due_date: Date | None = None
    lead_days: Days | None = None
    quantities: tuple[PiecesFromOne, ...] = Field(default=(), max_length=12)
    spare_pieces: Pieces = 0
    expedite: Flag = False
    discount_share: ShareBelowOne = 0.0
    packing_per_lot: Money = 0.0
    packing_per_piece: Money = 0.0
    freight_per_lot: Money = 0.0
    freight_per_piece: Money = 0.0
    freight_terms: FreightTerms = "in the price"
    pricing_basis: PricingBasis | None = None
    profit_rule: ProfitRule | None = None
    profit_share: MarkupShare | None = None
    nonrecurring_charging: NonrecurringCharging | None = None
    nonrecurring_carries_profit: Flag | None = None
    expedite_share: MarkupShare | None = None
    order_minimum: Money | None = None
    bar_charging: BarCharging | None = None
    pieces_charged: PiecesCharged | None = None
    spread_quantity: PiecesFromOne | None = None
    offer: Offer = "firm"
    quote_terms: Text = ""
    note: Text = ""


class Fit(Part):
    """What decides whether the job suits the shop: envelope and half tolerance band in drawing units.

    ``tolerance_by``: a sized tool (reamer, broach, tap) makes its size whatever the machine holds.
    ``load_weight``: blank with fixture on the table, lb or kg as the drawing is in inches or millimetres.
    """

    length: Size | None = None
    width: Size | None = None
    height: Size | None = None
    tightest_tolerance: Size | None = None
    tolerance_by: ToleranceMaker = "the machine"
    interest: Interest | None = None
    load_weight: Weight | None = None
    special_processes: tuple[Name, ...] = Field(
        default=(), validation_alias="special_process", serialization_alias="special_process", max_length=12
    )
    overrule_reason: Text = ""


class Lead(Part):
    """Working days of a lot beside its machine hours; supplier leads come from the chosen supplier prices.

    ``order_date`` None: the quotation's date. ``material_days`` None: the longest chosen lead of the stock.
    """

    order_date: Date | None = None
    material_days: Days | None = None
    queue_days: Days = 0
    inspection_days: Days = 0
    shipping_days: Days = 0


class Risk(Part):
    """How far estimates err together: the correlation of every pair of operations and purchases."""

    correlation: WholeShare = 0.2


class Job(Part):
    """One job. In files the lists are called by singular words: operation, cutting, buyout, supplier_price.

    Errors: pydantic's ValidationError when built by hand; InputError when read from a file.
    """

    job: JobHeader
    fit: Fit = Fit()
    stock: Stock = Stock()
    operations: tuple[Operation, ...] = Field(default=(), validation_alias="operation", serialization_alias="operation")
    cutting: tuple[Cutting, ...] = ()
    buyouts: tuple[Buyout, ...] = Field(default=(), validation_alias="buyout", serialization_alias="buyout")
    supplier_prices: tuple[SupplierPrice, ...] = Field(
        default=(), validation_alias="supplier_price", serialization_alias="supplier_price"
    )
    inspection: Inspection = Inspection()
    nonrecurring: tuple[Nonrecurring, ...] = ()
    extras: tuple[Extra, ...] = Field(default=(), validation_alias="extra", serialization_alias="extra")
    learning: Learning = Learning()
    lead: Lead = Lead()
    risk: Risk = Risk()
    actuals: Actuals = Actuals()

    @model_validator(mode="after")
    def _agree(self) -> Self:
        refuse(job_problems(self), self)
        return self
