"""Four shops and jobs as plain constructors: the golden job of the trade handbook, and three worked out by hand.

The figures that they must come to are in ``tests/pricing``. Everything here is invented.
"""

from __future__ import annotations

from typing import Any

from quotebook.model import (
    Buyout,
    Currency,
    Cutting,
    Fit,
    HandRate,
    Inspection,
    Job,
    JobHeader,
    Material,
    Nonrecurring,
    Operation,
    Policy,
    SamplingRow,
    Shop,
    ShopHeader,
    Stock,
    SupplierPrice,
    WorkCenter,
)

NOTE = "Invented shop, for tests"

#: Samples at level II, AQL 1.0, single normal plan, arrows followed, for the lots of the golden job.
#: Source: the trade handbook's table 5.1 (from public tables derived from MIL-STD-105E).
LEVEL_II_AQL_1 = ((2, 13), (151, 50), (501, 80), (1201, 125), (3201, 200))


def policy(**changes: Any) -> Policy:
    """A policy without markups, steps or minimums, but for the changes."""
    plain: dict[str, Any] = {
        "stock_markup": 0.0,
        "hardware_markup": 0.0,
        "outside_markup": 0.0,
        "nonrecurring_markup": 0.0,
    }
    return Policy(**{**plain, **changes})


def work_center(name: str, cost_rate: float, sell_rate: float, **changes: Any) -> WorkCenter:
    """A work center of 20 x 16 x 12 in that holds 0.0005 in, but for the changes."""
    plain: dict[str, Any] = {
        "units": "in",
        "travel_x": 20.0,
        "travel_y": 16.0,
        "travel_z": 12.0,
        "holding_tolerance": 0.0005,
    }
    return WorkCenter(name=name, cost_rate=cost_rate, sell_rate=sell_rate, **{**plain, **changes})


def golden_shop() -> Shop:
    """The shop of the golden job: cost plus 30 % margin, whole bars, run charged on the pieces started."""
    return Shop(
        shop=ShopHeader(name="Golden sample shop", note=NOTE),
        policy=policy(
            pricing_basis="cost plus",
            profit_rule="margin",
            profit_share=0.30,
            pieces_charged="started",
        ),
        hand_rates=(
            HandRate(name="Deburr", cost_rate=45.0, sell_rate=45.0),
            HandRate(name="Inspector", cost_rate=60.0, sell_rate=60.0),
            HandRate(name="Programmer", cost_rate=85.0, sell_rate=85.0),
            HandRate(name="First article", cost_rate=70.0, sell_rate=70.0),
        ),
        work_centers=(work_center("Lathe", 95.0, 95.0),),
        # 0.098 lb/in3, as the handbook gives it, times 27.679904710203 g/cm3 in one lb/in3.
        materials=(Material(name="6061", density=0.098 * 27.679904710203, source="trade handbook 1.12"),),
        sampling=tuple(SamplingRow(lot_from=lot, sample=sample) for lot, sample in LEVEL_II_AQL_1),
    )


def golden_job(**header: Any) -> Job:
    """The golden job: a 6061 round bar part at 5, 25 and 100 off; keywords change its header."""
    return Job(
        job=JobHeader(**{"units": "in", "quantities": (5, 25, 100), "packing_per_lot": 35.0, **header}),
        fit=Fit(length=3.0, width=1.5, height=1.5, tightest_tolerance=0.001, interest=2),
        stock=Stock(
            form="round bar",
            material="6061",
            size_a=1.5,
            piece_length=3.0,
            facing=0.1,
            kerf=0.09,
            bar_length=144.0,
            grip=6.0,
            price_basis="per lb",
            price=4.20,
        ),
        operations=(
            Operation(number=10, work_center="Lathe", setup_base_hours=1.5, cycle_minutes=12.0, scrap_share=0.02),
            Operation(number=20, work_center="Lathe", setup_base_hours=1.0, cycle_minutes=8.0, scrap_share=0.05),
            Operation(number=30, hand_rate="Deburr", cycle_minutes=5.0, scrap_share=0.01),
        ),
        buyouts=(Buyout(name="Anodize", kind="outside processing", price=3.25, lot_minimum=150.0),),
        inspection=Inspection(rate="Inspector", minutes_per_piece=6.0, plan="sampling table"),
        nonrecurring=(
            Nonrecurring(description="Programming", hours=3.0, rate="Programmer"),
            Nonrecurring(description="Fixture", purchase=400.0),
            Nonrecurring(description="First article", hours=2.5, rate="First article"),
        ),
    )


def whole_step_shop() -> Shop:
    """Sell rates, purchases rounded up to whole currency units, a cheaper rate for cleaning."""
    return Shop(
        shop=ShopHeader(name="Whole step sample shop", note=NOTE),
        policy=policy(
            stock_markup=0.15,
            hardware_markup=0.25,
            outside_markup=0.20,
            nonrecurring_markup=0.10,
            purchase_step=1.0,
        ),
        hand_rates=(
            HandRate(name="Machinist", cost_rate=30.0, sell_rate=45.0),
            HandRate(name="Cleaning", cost_rate=22.0, sell_rate=35.0),
            HandRate(name="Inspector", cost_rate=40.0, sell_rate=65.0),
        ),
        work_centers=(work_center("Mill", 40.0, 70.0, operator="Machinist"),),
    )


def whole_step_job() -> Job:
    """Ten milled plates with one spare, inserts and black oxide; the customer pays the freight."""
    return Job(
        job=JobHeader(
            units="in",
            quantities=(10,),
            spare_pieces=1,
            packing_per_lot=8.0,
            packing_per_piece=0.5,
            freight_per_lot=20.0,
            freight_terms="customer's account",
        ),
        stock=Stock(form="plate", price_basis="each", price=7.30, freight=12.50),
        operations=(
            Operation(
                number=10,
                work_center="Mill",
                setup_base_hours=1.0,
                touch_offs=6,
                tight_features=1,
                cycle_minutes=9.0,
                load_minutes=1.5,
                attendance_share=0.5,
            ),
            Operation(number=20, hand_rate="Cleaning", setup_base_hours=0.25, cycle_minutes=3.0),
        ),
        buyouts=(
            Buyout(name="Black oxide", kind="outside processing", price=2.10, lot_minimum=45.0, lot_charge=5.0),
            Buyout(
                name="Insert", kind="hardware", quantity_per_piece=4.0, attrition_share=0.05, pack_size=25.0, price=6.40
            ),
        ),
        inspection=Inspection(rate="Inspector", setup_hours=0.25, minutes_per_piece=2.0),
        nonrecurring=(
            Nonrecurring(description="Programming", hours=4.0, rate="Machinist"),
            Nonrecurring(description="Fixture material", purchase=90.0),
        ),
    )


def metric_shop() -> Shop:
    """Sell rates in a metric shop, prices in steps of 0.05, a sampling table."""
    return Shop(
        shop=ShopHeader(name="Metric sample shop", note=NOTE),
        money=Currency(currency_symbol="\u20ac", currency_code="EUR"),
        policy=policy(stock_markup=0.10, hardware_markup=0.20, outside_markup=0.15, price_step=0.05),
        hand_rates=(
            HandRate(name="Bench", cost_rate=25.0, sell_rate=40.0),
            HandRate(name="Inspection", cost_rate=30.0, sell_rate=48.0),
        ),
        work_centers=(
            work_center(
                "Turning",
                45.0,
                75.0,
                units="mm",
                travel_x=300.0,
                travel_y=200.0,
                travel_z=200.0,
                holding_tolerance=0.01,
            ),
        ),
        materials=(Material(name="Alloy steel", density=7.85, source="common practice, no source"),),
        sampling=(
            SamplingRow(lot_from=2, sample=2),
            SamplingRow(lot_from=9, sample=3),
            SamplingRow(lot_from=16, sample=5),
            SamplingRow(lot_from=26, sample=8),
        ),
    )


def metric_job() -> Job:
    """Turned pins at 20 and 50 off: scrap, cutting lines, nitriding, pins in packs, supplier price breaks."""
    return Job(
        job=JobHeader(units="mm", quantities=(20, 50), packing_per_piece=0.25, freight_per_lot=22.0),
        stock=Stock(
            form="round bar",
            material="Alloy steel",
            size_a=30.0,
            piece_length=48.0,
            facing=2.0,
            kerf=3.0,
            bar_length=3000.0,
            grip=85.0,
            price_basis="per kg",
            freight=15.0,
        ),
        operations=(
            Operation(number=10, work_center="Turning", setup_base_hours=1.5, load_minutes=0.5, scrap_share=0.04),
            Operation(
                number=20,
                hand_rate="Bench",
                setup_base_hours=0.2,
                cycle_minutes=2.0,
                load_minutes=4.0,
                pieces_per_load=8,
            ),
            Operation(number=30, description="Sent to nitriding", scrap_share=0.05),
        ),
        cutting=(
            Cutting(operation=10, feature="Turn", length=120.0, feed_per_minute=80.0),
            Cutting(operation=10, feature="Slots", count=2, volume=6.0, removal_rate=10.0, other_seconds=9.0),
        ),
        buyouts=(
            Buyout(name="Nitriding", kind="outside processing", operation=30, lot_minimum=90.0, freight=18.0),
            Buyout(
                name="Pin", kind="hardware", quantity_per_piece=2.0, attrition_share=0.1, pack_size=100.0, price=12.50
            ),
        ),
        supplier_prices=(
            SupplierPrice(line="Stock", supplier="Supplier A", price=4.20, lot_minimum=60.0, chosen=True),
            SupplierPrice(line="Stock", supplier="Supplier B", price=3.90),
            SupplierPrice(line="Nitriding", supplier="Supplier C", price=3.80, lot_minimum=75.0, chosen=True),
            SupplierPrice(line="Nitriding", supplier="Supplier C", from_quantity=40, price=3.10, chosen=True),
            SupplierPrice(line="Nitriding", supplier="Supplier D", from_quantity=50, price=2.00),
            SupplierPrice(line="Pin", supplier="Supplier E", from_quantity=2, price=11.00, chosen=True),
        ),
        inspection=Inspection(rate="Inspection", report_hours=0.5, minutes_per_piece=6.0, plan="sampling table"),
    )


def cost_plus_shop() -> Shop:
    """Cost plus 40 % markup, nonrecurring spread over the pieces, an order minimum of 400."""
    return Shop(
        shop=ShopHeader(name="Cost plus sample shop", note=NOTE),
        policy=policy(
            pricing_basis="cost plus",
            profit_rule="markup",
            profit_share=0.40,
            nonrecurring_charging="spread",
            order_minimum=400.0,
            expedite_share=0.25,
        ),
        hand_rates=(HandRate(name="Bench", cost_rate=30.0, sell_rate=99.0),),
        work_centers=(work_center("Drill", 50.0, 999.0),),
    )


def cost_plus_job() -> Job:
    """Drilling the customer's own parts, in a hurry, with a discount; nonrecurring spread over 50."""
    return Job(
        job=JobHeader(units="in", quantities=(4, 40), expedite=True, discount_share=0.10, spread_quantity=50),
        stock=Stock(form="customer supplied"),
        operations=(Operation(number=10, work_center="Drill", setup_base_hours=0.5, cycle_minutes=6.0),),
        nonrecurring=(Nonrecurring(description="Drill jig", hours=2.0, rate="Bench", purchase=15.0),),
    )
