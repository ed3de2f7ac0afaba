"""Random shop profiles over the whole range of options."""

from __future__ import annotations

from hypothesis import strategies as st

from quotebook.model import (
    Burden,
    Currency,
    HandRate,
    Material,
    MaterialGroup,
    Policy,
    SamplingRow,
    Shop,
    ShopHeader,
    SpecialProcess,
    SpeedRow,
    StandardSize,
    Usual,
    WorkCenter,
    WorkHolding,
)
from tests.kinds import Draw, days, money, numbers, optional, rates, texts, unique_names, units, usually


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
        tool_cost_charging=draw(st.sampled_from(["inside the rates", "on the job"])),
        approach_mm=draw(numbers(0, 5)),
        bore_minutes=draw(numbers(0, 60)),
        dowel_minutes=draw(numbers(0, 60)),
        thread_minutes=draw(numbers(0, 60)),
        groove_minutes=draw(numbers(0, 60)),
        smallest_lot=smallest,
        largest_lot=draw(st.integers(smallest, 100_000)),
        margin_floor=draw(numbers(0, 0.9)),
        quotation_valid_days=draw(st.integers(0, 120)),
    )


@st.composite
def hand_rates(draw: Draw, name: str) -> HandRate:
    """A hand rate, typed or built up from a wage."""
    wage = draw(optional(numbers(10, 60)))
    return HandRate(
        name=name, cost_rate=draw(rates), sell_rate=draw(rates), built_up=wage is not None and draw(st.booleans()),
        wage=wage, wage_burden=draw(numbers(0, 1)), productive_share=draw(numbers(0.5, 1)),
        target_margin=draw(numbers(0, 0.6)), usual_cycle_minutes=draw(optional(numbers(0.1, 9))),
    )  # fmt: skip


@st.composite
def work_centers(draw: Draw, name: str, hands: list[str], holdings: list[str]) -> WorkCenter:
    """A work center in inch or millimetres, with or without an operator of its own."""
    system = draw(units)
    scale = 1.0 if system == "in" else 25.0
    known = draw(st.booleans())
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
        top_speed_rpm=draw(optional(st.sampled_from([1200.0, 6000.0, 12000.0]))),
        spindle_power=draw(optional(numbers(0.5, 30))),
        spindle_torque=draw(optional(numbers(1, 200))),
        drive_efficiency=draw(optional(numbers(0.5, 1))),
        rapid_rate=draw(optional(numbers(10, 2000))),
        tool_change_seconds=draw(usually(0.0, numbers(0, 15))),
        table_load=draw(optional(numbers(10, 900))),
        built_up=draw(st.booleans()) if known else False,
        purchase_price=draw(numbers(1000, 300000)) if known else None,
        salvage_value=draw(usually(0.0, numbers(0, 900))),
        life_years=draw(numbers(3, 15)) if known else None,
        floor_area=draw(numbers(0, 50)),
        upkeep_per_year=draw(numbers(0, 5000)),
        insurance_per_year=draw(numbers(0, 900)),
        connected_kw=draw(numbers(0, 30)),
        load_share=draw(numbers(0, 1)),
        hours_per_year=draw(numbers(500, 4000)) if known else None,
        utilisation=draw(numbers(0.2, 1)),
        target_margin=draw(numbers(0, 0.6)),
        hours_per_day=draw(optional(numbers(4, 24))),
        usual_setup_hours=draw(optional(numbers(0, 3))),
        usual_load_minutes=draw(optional(numbers(0, 5))),
        usual_cycle_minutes=draw(optional(numbers(0.1, 9))),
        usual_first_piece_minutes=draw(optional(numbers(0, 30))),
        usual_holding=draw(optional(st.sampled_from(holdings))) if holdings else None,
    )


@st.composite
def usual_figures(draw: Draw) -> Usual:
    """Usual figures in inch or millimetres, each of them given or not."""
    system = draw(units)
    scale = 1.0 if system == "in" else 25.0

    def length(low: float, high: float) -> float | None:
        found: float | None = draw(optional(numbers(low, high, 3)))
        return None if found is None else found * scale

    return Usual(
        units=system, tool_changes=draw(optional(st.integers(0, 2))), rapid_length=length(0, 12),
        other_seconds=draw(optional(numbers(0, 60))),
        clean_up=length(0, 0.3), facing=length(0, 0.2), kerf=length(0, 0.2), bar_length=length(20, 200),
        grip=length(0, 5), face_mill=length(0.5, 4), face_mill_teeth=draw(optional(st.integers(1, 8))),
        end_mill=length(0.1, 1), chamfer_tool=length(0.1, 1), feature_sizes=draw(st.booleans()),
    )  # fmt: skip


@st.composite
def materials(draw: Draw, name: str, group: st.SearchStrategy[str | None]) -> Material:
    """A material, with or without a usual price."""
    price = draw(optional(numbers(0, 40)))
    return Material(
        name=name, density=draw(numbers(0.1, 25)), source=draw(texts), group=draw(group), usual_price=price,
        usual_price_basis=None if price is None else draw(st.sampled_from(["per lb", "per kg"])),
    )  # fmt: skip


FORMS = ["round bar", "hex bar", "square bar", "flat bar", "tube", "plate", "block"]
CUTS = ["turn", "groove", "drill", "ream", "tap", "mill", "finish"]


@st.composite
def speed_rows(draw: Draw, groups: list[str]) -> tuple[SpeedRow, ...]:
    """For each group and the usual tool most kinds of cut, and now and then another tool."""
    wanted = [(group, tool, cut) for group in groups for tool in ("carbide", "HSS") for cut in CUTS]
    rows = []
    for group, tool, cut in wanted:
        if draw(st.integers(0, 9)) < (1 if tool == "carbide" else 8):
            continue
        system = draw(units)
        feet, mm = (3.0, 1.0) if system == "in" else (1.0, 25.0)
        rows.append(
            SpeedRow(
                group=group, tool=tool, cut=cut, units=system, speed=draw(numbers(5, 300)) * feet,
                feed=draw(numbers(0.001, 0.02, 4)) * mm, depth=draw(optional(numbers(0.005, 0.3, 3))),
                width_share=draw(optional(numbers(0.05, 1))), teeth=draw(optional(st.integers(1, 8))),
                life_minutes=draw(optional(numbers(5, 90))), life_exponent=draw(optional(numbers(0.1, 0.5))),
                edge_cost=draw(optional(numbers(0, 20))), change_minutes=draw(usually(0.0, numbers(0, 5))),
                source=draw(texts),
            )
        )  # fmt: skip
    return tuple(rows)


@st.composite
def shops(draw: Draw) -> Shop:
    """Whole shop profiles."""
    hands = draw(unique_names(1, 4))
    centers = draw(unique_names(1, 4))
    holdings = draw(unique_names(0, 3))
    groups = draw(unique_names(0, 2))
    group = optional(st.sampled_from(groups)) if groups else st.none()
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
        hand_rates=tuple(draw(hand_rates(name)) for name in hands),
        work_centers=tuple(draw(work_centers(name, hands, holdings)) for name in centers),
        materials=tuple(draw(materials(name, group)) for name in draw(unique_names(0, 4))),
        usual=draw(usual_figures()),
        material_groups=tuple(
            MaterialGroup(name=name, cutting_force=draw(numbers(300, 5000)), force_exponent=draw(numbers(0.05, 0.5)))
            for name in groups
        ),
        burden=Burden(
            interest=draw(numbers(0, 0.2)), floor_cost=draw(numbers(0, 200)), power_tariff=draw(numbers(0, 1))
        ),
        holidays=tuple(draw(st.lists(days, max_size=5))),
        speeds=draw(speed_rows(groups)),
        work_holdings=tuple(WorkHolding(name=name, minutes=draw(numbers(0, 90))) for name in holdings),
        standard_sizes=tuple(
            StandardSize(form=draw(st.sampled_from(FORMS)), units=draw(units), size=draw(numbers(0.1, 60)))
            for _ in range(draw(st.integers(0, 12)))
        ),
        special_processes=tuple(SpecialProcess(name=name, where=draw(texts)) for name in draw(unique_names(0, 3))),
        sampling=tuple(SamplingRow(lot_from=lot, sample=draw(st.integers(1, 300))) for lot in lots),
    )
