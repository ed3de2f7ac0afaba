"""Random shop profiles over the whole range of options."""

from __future__ import annotations

from hypothesis import strategies as st

from quotebook.model import (
    Currency,
    HandRate,
    Material,
    Policy,
    SamplingRow,
    Shop,
    ShopHeader,
    WorkCenter,
)
from tests.kinds import Draw, money, numbers, optional, rates, texts, unique_names, units, usually


@st.composite
def policies(draw: Draw) -> Policy:
    """Policies over every choice; the profit share fits its rule."""
    rule = draw(st.sampled_from(["margin", "markup"]))
    smallest = draw(st.integers(1, 5))
    share = numbers(0, 1)
    return Policy(
        pricing_basis=draw(st.sampled_from(["sell rates", "cost plus"])),
        profit_rule=rule,
        profit_share=draw(numbers(0, 0.9) if rule == "margin" else numbers(0, 5)),
        nonrecurring_carries_profit=draw(st.booleans()),
        nonrecurring_charging=draw(st.sampled_from(["own line", "spread"])),
        stock_markup=draw(share),
        hardware_markup=draw(share),
        outside_markup=draw(share),
        nonrecurring_markup=draw(share),
        purchase_step=draw(st.sampled_from([0.0, 0.01, 0.05, 1.0, 5.0])),
        price_step=draw(st.sampled_from([0.0001, 0.01, 0.05, 0.25, 1.0])),
        order_minimum=draw(usually(0.0, money)),
        expedite_share=draw(numbers(0, 2)),
        bar_charging=draw(st.sampled_from(["whole bars", "used length"])),
        pieces_charged=draw(st.sampled_from(["surviving", "started"])),
        touch_off_minutes=draw(numbers(0, 10)),
        prove_in_minutes=draw(numbers(0, 60)),
        smallest_lot=smallest,
        largest_lot=draw(st.integers(smallest, 100_000)),
        margin_floor=draw(numbers(0, 0.9)),
        quotation_valid_days=draw(st.integers(0, 120)),
    )


@st.composite
def work_centers(draw: Draw, name: str, hands: list[str]) -> WorkCenter:
    """A work center in inch or millimetres, with or without an operator of its own."""
    system = draw(units)
    scale = 1.0 if system == "in" else 25.0
    travel = numbers(1, 60, 1).map(lambda x: x * scale)
    return WorkCenter(
        name=name,
        units=system,
        travel_x=draw(travel),
        travel_y=draw(travel),
        travel_z=draw(travel),
        holding_tolerance=draw(numbers(0.0001, 0.01, 4)) * scale,
        cost_rate=draw(rates),
        sell_rate=draw(rates),
        operator=draw(optional(st.sampled_from(hands))),
    )


@st.composite
def shops(draw: Draw) -> Shop:
    """Whole shop profiles."""
    hands = draw(unique_names(1, 4))
    centers = draw(unique_names(1, 4))
    lots = draw(st.lists(st.integers(1, 2000), max_size=5, unique=True).map(sorted))
    return Shop(
        shop=ShopHeader(
            name=draw(st.sampled_from(["Invented shop", "=Shop", "Sample & Sons <invented>"])),
            address=draw(texts),
            contact=draw(texts),
            note="Invented, for tests",
        ),
        money=Currency(
            currency_symbol=draw(st.sampled_from(["$", "\u20ac", "kr", '"', "CHF", "\u00a3"])),
            currency_code=draw(st.sampled_from(["USD", "EUR", "XTS"])),
            decimals=draw(st.integers(0, 4)),
        ),
        policy=draw(policies()),
        hand_rates=tuple(HandRate(name=name, cost_rate=draw(rates), sell_rate=draw(rates)) for name in hands),
        work_centers=tuple(draw(work_centers(name, hands)) for name in centers),
        materials=tuple(
            Material(name=name, density=draw(numbers(0.1, 25)), source=draw(texts)) for name in draw(unique_names(0, 4))
        ),
        sampling=tuple(SamplingRow(lot_from=lot, sample=draw(st.integers(1, 300))) for lot in lots),
    )
