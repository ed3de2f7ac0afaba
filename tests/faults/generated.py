"""Twelve shops and jobs as shops would fill them in: 1 to 25 operations, 1 to 6 quantities, both unit systems.

Drawn from ranges that are common practice, no source; the draw is seeded, so that every run has the same ones. Names,
rates and prices are invented.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any, NamedTuple

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

#: A day far ahead, so that no price given here has run out when the trial is run.
QUOTED = date(2099, 3, 2)


class Shape(NamedTuple):
    """What sets one base apart from the others."""

    units: str
    operations: int
    quantities: tuple[int, ...]
    form: str
    outside: int
    hardware: int
    basis: str
    spread: bool = False
    cutting: bool = False


JOBS = (
    Shape("mm", 1, (10,), "round bar", 0, 0, "sell rates"),
    Shape("in", 3, (5, 25, 100), "round bar", 1, 0, "cost plus", cutting=True),
    Shape("mm", 6, (20, 50), "plate", 1, 1, "sell rates"),
    Shape("in", 8, (1, 5, 10, 25, 50, 100), "block", 2, 2, "sell rates"),
    Shape("mm", 12, (50, 100, 250, 500), "hex bar", 1, 0, "cost plus", spread=True),
    Shape("in", 2, (200, 1000), "tube", 0, 1, "sell rates", cutting=True),
    Shape("mm", 25, (2, 4, 8), "casting", 3, 3, "cost plus"),
    Shape("in", 5, (12,), "flat bar", 0, 2, "cost plus"),
    Shape("mm", 4, (100, 300, 900), "round bar", 1, 1, "sell rates", spread=True, cutting=True),
    Shape("in", 16, (3, 6, 12, 24), "customer supplied", 2, 0, "sell rates"),
    Shape("mm", 9, (30, 60, 120, 240, 480, 960), "square bar", 1, 2, "cost plus"),
    Shape("in", 20, (10, 40), "block", 0, 1, "sell rates", cutting=True),
)

_CENTERS = ("Saw", "Lathe 1", "Lathe 2", "Mill 1", "Mill 2", "Grinder")
_HANDS = ("Machinist", "Bench", "Inspector", "Programmer")
_WORK = ("Saw", "Turn", "Face", "Mill first side", "Mill second side", "Drill", "Tap", "Bore", "Grind", "Check")


def shop_and_job(number: int) -> tuple[Shop, Job]:
    """Return the shop and the job of base ``number``, counted from 0."""
    shape, draw = JOBS[number], Random(7000 + number)
    shop = _shop(shape, draw)
    return shop, _job(shape, draw, number)


def _money(draw: Random, low: float, high: float) -> float:
    return round(draw.uniform(low, high), 2)


def _shop(shape: Shape, draw: Random) -> Shop:
    scale = 25.4 if shape.units == "mm" else 1.0
    hands = []
    for name, low in zip(_HANDS, (30, 24, 32, 40), strict=True):
        cost = _money(draw, low, low * 1.3)
        hands.append(HandRate(name=name, cost_rate=cost, sell_rate=round(cost * draw.uniform(1.4, 1.8), 2)))
    centers = []
    for name in _CENTERS:
        cost = _money(draw, 28, 75)
        centers.append(
            WorkCenter(
                name=name,
                units=shape.units,
                travel_x=round(30 * scale),
                travel_y=round(20 * scale),
                travel_z=round(20 * scale),
                holding_tolerance=round(0.0005 * scale, 4),
                cost_rate=cost,
                sell_rate=round(cost * draw.uniform(1.35, 1.7), 2),
                operator="Machinist" if name != "Saw" else None,
            )
        )
    return Shop(
        shop=ShopHeader(name=f"Sample shop {shape.operations} (invented)", note="Invented, for the trial of the audit"),
        money=Currency() if shape.units == "in" else Currency(currency_symbol="\u20ac", currency_code="EUR"),
        policy=Policy(
            pricing_basis=shape.basis, profit_rule=draw.choice(("margin", "markup")),
            profit_share=draw.choice((0.2, 0.25, 0.3)), nonrecurring_charging="spread" if shape.spread else "own line",
            stock_markup=0.15, hardware_markup=0.2, outside_markup=0.1, nonrecurring_markup=0.1,
            price_step=draw.choice((0.01, 0.05)), order_minimum=draw.choice((0.0, 100.0)),
        ),
        hand_rates=tuple(hands), work_centers=tuple(centers),
        materials=(
            Material(name="Alloy steel", density=7.85, source="common practice, no source"),
            Material(name="Aluminum", density=2.7, source="common practice, no source"),
            Material(name="Brass", density=8.5, source="common practice, no source"),
        ),
        sampling=tuple(SamplingRow(lot_from=lot, sample=n) for lot, n in ((2, 2), (26, 5), (91, 13), (281, 32))),
    )  # fmt: skip


def _job(shape: Shape, draw: Random, number: int) -> Job:
    scale = 25.4 if shape.units == "mm" else 1.0
    numbers = [10 * (index + 1) for index in range(shape.operations)]
    sent = numbers[1 : 1 + min(shape.outside, max(0, shape.operations - 2))]
    operations = [_operation(draw, each, each in sent, shape.cutting and each == 10) for each in numbers]
    bought = _buyouts(shape, draw, sent)
    return Job(
        job=JobHeader(
            customer="Sample customer (invented)", part_number=f"S-{number + 101}", part_name="Sample part",
            revision="B", quote_number=f"Q-{number + 1:03d}", prepared_by="Estimator", units=shape.units,
            quote_date=QUOTED, due_date=QUOTED + timedelta(60), lead_days=20, quantities=shape.quantities,
            spare_pieces=draw.choice((0, 0, 1)), packing_per_lot=_money(draw, 10, 40),
            packing_per_piece=_money(draw, 0.1, 0.6), freight_per_lot=_money(draw, 15, 60),
            discount_share=draw.choice((0.0, 0.0, 0.03)), spread_quantity=max(shape.quantities),
        ),
        fit=Fit(
            length=round(5 * scale, 1), width=round(3 * scale, 1), height=round(2 * scale, 1),
            tightest_tolerance=round(0.001 * scale, 4), interest=2,
        ),
        stock=_stock(shape, draw, scale), operations=tuple(operations),
        cutting=tuple(_cutting(draw, scale)) if shape.cutting else (), buyouts=tuple(bought),
        supplier_prices=tuple(_supplier_prices(draw, bought)), inspection=_inspection(draw),
        nonrecurring=(
            Nonrecurring(description="Program", hours=round(draw.uniform(2, 6), 1), rate="Programmer"),
            Nonrecurring(description="Fixture", hours=round(draw.uniform(2, 8), 1), rate="Machinist", purchase=180.0),
            Nonrecurring(description="First article", hours=1.5, rate="Inspector"),
        ),
    )  # fmt: skip


def _operation(draw: Random, number: int, sent_out: bool, cut: bool) -> Operation:
    if sent_out:
        return Operation(number=number, description="Sent out", scrap_share=0.01)
    hand = number % 70 == 60
    cycle = None if cut else round(draw.uniform(1.5, 14), 1)
    return Operation(
        number=number, description=draw.choice(_WORK), work_center=None if hand else draw.choice(_CENTERS),
        hand_rate="Bench" if hand else None, setup_base_hours=round(draw.uniform(0.25, 2), 2),
        touch_offs=0 if hand else draw.randint(2, 8), tight_features=draw.choice((0, 0, 1, 2)), cycle_minutes=cycle,
        load_minutes=round(draw.uniform(0.3, 1.5), 1), pieces_per_load=draw.choice((1, 1, 1, 2)),
        attendance_share=1.0 if hand else draw.choice((1.0, 1.0, 0.5)), scrap_share=draw.choice((0.0, 0.01, 0.02)),
        low_cycle_minutes=None if cycle is None else round(cycle * 0.85, 2),
        high_cycle_minutes=None if cycle is None else round(cycle * 1.3, 2),
    )  # fmt: skip


def _cutting(draw: Random, scale: float) -> list[Cutting]:
    return [
        Cutting(operation=10, feature="Profile", length=round(22 * scale), feed_per_minute=round(9 * scale)),
        Cutting(operation=10, feature="Pockets", count=2, length=round(12 * scale), feed_per_minute=round(15 * scale)),
        Cutting(operation=10, feature="Holes", count=6, other_seconds=float(draw.randint(6, 14))),
    ]


def _stock(shape: Shape, draw: Random, scale: float) -> Stock:
    metric = shape.units == "mm"
    common: dict[str, Any] = {"form": shape.form, "material": draw.choice(("Alloy steel", "Aluminum", "Brass"))}
    if shape.form == "customer supplied":
        return Stock(**common)
    common |= {"freight": _money(draw, 10, 40), "supplier_minimum": draw.choice((0.0, 50.0))}
    if shape.form == "casting":
        return Stock(**common, unit_weight=round(draw.uniform(3, 9), 1), price_basis="each", price=_money(draw, 35, 90))
    size = {
        "size_a": round(2 * scale, 2), "size_b": round(1 * scale, 2), "wall": round(0.25 * scale, 2),
        "piece_length": round(4 * scale, 1), "facing": round(0.1 * scale, 2),
    }  # fmt: skip
    basis, price = ("per kg", _money(draw, 2, 7)) if metric else ("per lb", _money(draw, 1.2, 4))
    if shape.form in ("plate", "block"):
        return Stock(**common, **size, price_basis=basis, price=price)
    bar = {"kerf": round(0.1 * scale, 2), "bar_length": round(120 * scale), "grip": round(4 * scale)}
    return Stock(**common, **size, **bar, price_basis=basis, price=price)


def _buyouts(shape: Shape, draw: Random, sent: list[int]) -> list[Buyout]:
    places: list[int | None] = [*sent, *([None] * (shape.outside - len(sent)))]
    outside = [
        Buyout(
            name=f"Treatment {index + 1}", kind="outside processing", operation=place, price=_money(draw, 1, 6),
            lot_charge=_money(draw, 10, 30), lot_minimum=_money(draw, 60, 120), freight=_money(draw, 8, 25),
        )
        for index, place in enumerate(places)
    ]  # fmt: skip
    hardware = [
        Buyout(
            name=f"Fastener {index + 1}", kind="hardware", quantity_per_piece=float(draw.choice((1, 2, 4))),
            attrition_share=0.05, pack_size=float(draw.choice((10, 25, 50))), price=_money(draw, 4, 18),
        )
        for index in range(shape.hardware)
    ]  # fmt: skip
    return outside + hardware


def _supplier_prices(draw: Random, bought: list[Buyout]) -> list[SupplierPrice]:
    valid = QUOTED + timedelta(90)
    rows = []
    for line in bought[::2]:
        first = line.price or 0.0
        rows += [
            SupplierPrice(
                line=line.name, supplier="Supplier A (invented)", price=first, valid_until=valid, lead_days=8,
                chosen=True,
            ),
            SupplierPrice(
                line=line.name, supplier="Supplier A (invented)", from_quantity=40, price=round(first * 0.9, 2),
                valid_until=valid, lead_days=8, chosen=True,
            ),
            SupplierPrice(
                line=line.name, supplier="Supplier B (invented)", price=_money(draw, first, first * 1.3 + 0.02),
                valid_until=valid, lead_days=12,
            ),
        ]  # fmt: skip
    return rows


def _inspection(draw: Random) -> Inspection:
    plan = draw.choice(("every piece", "sampling table", "fixed number"))
    return Inspection(
        rate="Inspector", setup_hours=0.5, report_hours=0.5, minutes_per_piece=round(draw.uniform(1, 5), 1), plan=plan,
        fixed_sample=5 if plan == "fixed number" else None,
    )  # fmt: skip
