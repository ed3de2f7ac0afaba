"""Published figures as computed by our functions: for each id of published.json what we make of its inputs.

The file holds inputs, the printed answer, its unit, the tolerance of the print and the source of each figure.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from quotebook.machining import holes, hourly_rates, learning, milling, power, sampling, speeds, stock, tool_life
from quotebook.machining import turning as turn
from quotebook.machining import uncertainty as risk
from quotebook.machining import units as u
from quotebook.pricing.routing import entering_pieces, yields_to_end

PUBLISHED: Mapping[str, Mapping[str, Any]] = json.loads((Path(__file__).parent / "published.json").read_text())
GAO = PUBLISHED["gao-ml"]["inputs"]["elements_kusd_min_ml_max"]
STEEL = 0.2833 * u.G_PER_CM3_IN_LB_PER_IN3
#: One W.s/mm3 of cutting energy is 1000 N/mm2 of cutting force; one hp.min/in3 in W.s/mm3.
N_PER_WS = 1000.0
WS_PER_HP_MIN = u.KW_PER_HP * 1000 * 60 / (u.CM3_PER_IN3 * 1000)

Make = Callable[[Mapping[str, Any]], float]


def pounds(area: float, length: float = 12.0) -> float:
    return stock.weight(area * length, STEEL, "in")


def taylor_piece_cost(i: Mapping[str, Any]) -> float:
    """Material, handling, cutting and tool of one bar at the least-cost speed."""
    life = tool_life.least_cost_life(i["n"], i["tool_change_min"], i["regrind_usd"], i["labour_usd_per_min"])
    speed = tool_life.speed_for(life, i["C"], i["n"])
    rpm = speeds.spindle_speed(speed, i["diameter_mm"], "mm")
    cut = i["length_mm"] / speeds.feed_rate(i["feed_mm_per_rev"], rpm)
    tool = tool_life.tool_cost(cut, life, i["regrind_usd"], i["tool_change_min"], i["labour_usd_per_min"])
    return float(i["material_usd"] + (i["handling_min"] + cut) * i["labour_usd_per_min"] + tool)


def drill_allowance(i: Mapping[str, Any]) -> float:
    """What the book adds at both ends, less the point that we add ourselves."""
    ends = 2 * i["point_allowance_factor_each_end"] * i["diameter_mm"]
    return float(ends - holes.point_height(i["diameter_mm"]))


def slab(i: Mapping[str, Any], rpm: float) -> float:
    rate = speeds.feed_rate(i["feed_mm_per_tooth"], rpm, i["teeth"])
    return milling.slab_travel(i["length_mm"], i["cutter_diameter_mm"], i["depth_mm"]) / rate


UNITS: dict[str, Make] = {
    "unit-in_to_mm": lambda i: u.MM_PER_INCH,
    "unit-lb_to_kg": lambda i: u.KG_PER_POUND,
    "unit-ft_per_min_to_m_per_min": lambda i: u.M_PER_FOOT,
    "unit-in3_to_cm3": lambda i: u.CM3_PER_IN3,
    "unit-hp_to_W": lambda i: u.KW_PER_HP * 1000,
    "unit-lbin3_to_gcm3": lambda i: u.G_PER_CM3_IN_LB_PER_IN3 * i["density_lb_per_in3"],
}

TURNING: dict[str, Make] = {
    "turn-vc-1": lambda i: speeds.surface_speed(i["diameter_mm"], i["spindle_rpm"], "mm"),
    "turn-vc-in-1": lambda i: speeds.surface_speed(i["diameter_in"], i["spindle_rpm"], "in"),
    "turn-vc-2": lambda i: speeds.surface_speed(i["diameter_mm"], i["spindle_rpm"], "mm"),
    "turn-f-1": lambda i: speeds.feed_per_tooth(i["feed_rate_mm_per_min"], i["spindle_rpm"], 1),
    "turn-t-1": lambda i: i["length_mm"] / speeds.feed_rate(i["feed_mm_per_rev"], i["spindle_rpm"]),
    "turn-t-2": lambda i: i["length_in"] / i["feed_rate_in_per_min"],
    "turn-mrr-2": lambda i: turn.turning_removal_rate(
        (i["d0_in"] + i["d1_in"]) / 2, (i["d0_in"] - i["d1_in"]) / 2, i["feed_in_per_rev"], i["spindle_rpm"], "in"
    ),
    "turn-power-2": lambda i: power.cutting_power(
        i["mrr_in3_per_min"], i["specific_energy_W_s_per_mm3"] * N_PER_WS, "in"
    ),
    # Force from torque at the mean radius: lbf.ft over feet.
    "turn-force-2": lambda i: power.torque(i["power_hp"], i["spindle_rpm"], "in") / (i["mean_diameter_in"] / 2 / 12),
    "turn-t-3": lambda i: sum(
        turn.turning_minutes(d, d, length, i["speed_m_per_min"], i["feed_mm_per_rev"], 1, "mm")
        for d, length in ((i["d1_mm"], i["l1_mm"]), (i["d2_mm"], i["l2_mm"]))
    ),
    "turn-t-4": lambda i: turn.turning_minutes(
        i["diameter_mm"], i["diameter_mm"], i["length_mm"], i["speed_m_per_min"], i["feed_mm_per_rev"], 1, "mm"
    ),
    "face-t-1": lambda i: turn.facing_minutes(
        i["d_outer_mm"], i["d_inner_mm"], i["speed_m_per_min"], i["feed_mm_per_rev"], "mm"
    ),
    "face-t-1-css": lambda i: turn.facing_minutes(
        i["d_outer_mm"], i["d_inner_mm"], i["speed_m_per_min"], i["feed_mm_per_rev"], "mm"
    ),
    "face-css-cap": lambda i: turn.facing_minutes(
        i["d_outer_mm"], i["d_inner_mm"], i["speed_m_per_min"], i["feed_mm_per_rev"], "mm", i["max_rpm"]
    ),
    "rough-1": lambda i: speeds.theoretical_roughness(i["feed_mm_per_rev"], i["nose_radius_mm"]) * 1000,
    "thread-1": lambda i: turn.thread_turning_minutes(
        i["diameter_mm"], i["length_mm"], i["pitch_mm"], i["speed_m_per_min"], i["passes"], "mm"
    ),
    "clean-hr": lambda i: turn.clean_up_diameter(i["finish_od_in"]),
    "saw-1": lambda i: holes.sawing_minutes(stock.round_area(i["diameter_in"]), i["rate_in2_per_min"]),
}

HOLES: dict[str, Make] = {
    "drill-vc-1": lambda i: speeds.surface_speed(i["diameter_mm"], i["spindle_rpm"], "mm"),
    "drill-vf-1": lambda i: speeds.feed_rate(i["feed_mm_per_rev"], i["spindle_rpm"]),
    "drill-t-1": lambda i: i["depth_mm"] * i["holes"] / speeds.feed_rate(i["feed_mm_per_rev"], i["spindle_rpm"]),
    "drill-t-2": lambda i: (
        i["depth_mm"]
        / speeds.feed_rate(
            i["feed_mm_per_rev"], speeds.spindle_speed(i["speed_m_per_min"], i["diameter_mm"], "mm")
        )
        * 60
    ),
    "drill-vc-2": lambda i: speeds.surface_speed(i["diameter_mm"], i["spindle_rpm"], "mm"),
    # The book allows 0.29 D at each end; what that is above the point itself is our approach.
    "drill-t-3": lambda i: holes.drilling_minutes(
        i["diameter_mm"], i["depth_mm"], i["feed_mm_per_rev"],
        speeds.spindle_speed(i["speed_m_per_min"], i["diameter_mm"], "mm"), drill_allowance(i),
    ),
    "drill-mrr-1": lambda i: (
        holes.drilling_removal_rate(
            i["diameter_mm"], speeds.feed_rate(i["feed_mm_per_rev"], i["spindle_rpm"]), "mm"
        )
        * 1000
        / 60
    ),
    "drill-torque-1": lambda i: power.torque(
        i["mrr_mm3_per_s"] * i["specific_energy_W_s_per_mm3"] / 1000, i["spindle_rpm"], "mm"
    ),
    "drill-n-3": lambda i: speeds.spindle_speed(i["speed_m_per_min"], i["diameter_mm"], "mm"),
    "drill-vf-3": lambda i: speeds.feed_rate(i["feed_mm_per_rev"], i["spindle_rpm"]),
    "drill-q-3": lambda i: holes.drilling_removal_rate(i["diameter_mm"], i["feed_rate_mm_per_min"], "mm"),
    "drill-p-3": lambda i: power.cutting_power(i["mrr_cm3_per_min"], i["kc_N_per_mm2"], "mm", i["efficiency"]),
    "drill-m-3": lambda i: holes.drilling_torque(i["diameter_mm"], i["feed_mm_per_rev"], i["kc_N_per_mm2"]),
    "drill-ff-3": lambda i: holes.drilling_feed_force(i["diameter_mm"], i["feed_mm_per_rev"], i["kc_N_per_mm2"]),
    "drill-t-3b": lambda i: (i["depth_mm"] + i["clearance_mm"]) / i["feed_rate_mm_per_min"],
    "drill-cost-3": lambda i: i["machine_rate_usd_per_h"] * i["time_min"] / 60,
    "tap-feed-1": lambda i: holes.tapping_feed_rate(i["pitch_mm"], i["spindle_rpm"]),
    "tap-t-1": lambda i: holes.tapping_minutes(
        i["pitch_mm"], i["depth_mm"], i["spindle_rpm"], i["run_in_mm"], i["return_rpm"]
    ),
}  # fmt: skip

MILLING: dict[str, Make] = {
    "mill-vc-1": lambda i: speeds.surface_speed(i["cutter_diameter_mm"], i["spindle_rpm"], "mm"),
    "mill-vf-1": lambda i: speeds.feed_rate(i["feed_mm_per_tooth"], i["spindle_rpm"], i["teeth"]),
    "mill-t-1": lambda i: (
        milling.face_travel(i["length_mm"], i["cutter_diameter_mm"])
        / speeds.feed_rate(i["feed_mm_per_tooth"], i["spindle_rpm"], i["teeth"])
    ),
    "mill-t-2": lambda i: slab(i, i["spindle_rpm"]) * 60,
    "mill-mrr-2": lambda i: (
        milling.removal_rate(i["depth_mm"], i["width_mm"], i["table_feed_mm_per_min"], "mm") * 1000 / 60
    ),
    "mill-p-2": lambda i: (
        power.cutting_power(i["mrr_mm3_per_s"] * 60 / 1000, i["specific_energy_W_s_per_mm3"] * N_PER_WS, "mm") * 1000
    ),
    "mill-m-2": lambda i: power.torque(i["power_W"] / 1000, i["spindle_rpm"], "mm"),
    "mill-mrr-3": lambda i: milling.removal_rate(
        i["depth_in"], i["width_in"], speeds.feed_rate(i["feed_in_per_tooth"], i["spindle_rpm"], i["teeth"]), "in"
    ),
    "mill-p-3": lambda i: power.cutting_power(
        i["mrr_in3_per_min"], i["unit_power_hp_min_per_in3"] * WS_PER_HP_MIN * N_PER_WS, "in"
    ),
    "mill-m-3": lambda i: power.torque(i["power_hp"], i["spindle_rpm"], "in"),
    "mill-mrr-4": lambda i: milling.removal_rate(i["depth_mm"], i["width_mm"], i["table_feed_mm_per_min"], "mm") * 1000,
    "mill-t-4": lambda i: milling.face_travel(i["length_mm"], i["cutter_diameter_mm"]) / i["table_feed_mm_per_min"],
    "mill-fz-4": lambda i: speeds.feed_per_tooth(i["table_feed_mm_per_min"], i["spindle_rpm"], i["teeth"]),
    "mill-p-4": lambda i: power.cutting_power(
        i["mrr_mm3_per_min"] / 1000, i["specific_energy_W_s_per_mm3"] * N_PER_WS, "mm"
    ),
    "mill-t-5": lambda i: slab(i, speeds.spindle_speed(i["speed_m_per_min"], i["cutter_diameter_mm"], "mm")),
    "mill-travel-5": lambda i: milling.slab_travel(i["length_mm"], i["cutter_diameter_mm"], i["depth_mm"]),
    "mill-t-6": lambda i: (
        milling.centred_face_travel(i["length_mm"], i["cutter_diameter_mm"], i["width_mm"])
        / speeds.feed_rate(i["feed_mm_per_tooth"], i["spindle_rpm"], i["teeth"])
    ),
    "chip-hmax-1": lambda i: speeds.largest_chip_ratio(i["ae_over_D"]),
    "chip-hm-1": lambda i: speeds.mean_chip_ratio(i["ae_over_D"]),
    "chip-lead-1": lambda i: speeds.lead_angle_feed(i["target_chip_mm"], i["entering_angle_deg"]),
}

POWER: dict[str, Make] = {
    "power-turn-1": lambda i: power.cutting_power(
        i["depth_mm"] * i["feed_mm_per_rev"] * i["speed_m_per_min"], i["kc_N_per_mm2"], "mm", i["efficiency"]
    ),
    "power-mill-n": lambda i: speeds.spindle_speed(i["speed_m_per_min"], i["cutter_diameter_mm"], "mm"),
    "power-mill-1": lambda i: power.cutting_power(
        milling.removal_rate(i["ap_mm"], i["ae_mm"], i["table_feed_mm_per_min"], "mm"),
        i["kc_N_per_mm2"], "mm", i["efficiency"],
    ),
    # The force model gives newtons for its feed and depth; as a force per section it is kc.
    "power-turn-2": lambda i: power.cutting_power(
        i["depth_mm"] * i["feed_mm_per_rev"] * i["speed_m_per_s"] * 60,
        1593 * i["feed_mm_per_rev"] ** 0.85 * i["depth_mm"] ** 0.98 / (i["depth_mm"] * i["feed_mm_per_rev"]),
        "mm", i["efficiency"],
    ),
    "power-sharma-15.1": lambda i: (
        milling.removal_rate(
            i["depth_cm"] * 10, i["width_cm"] * 10,
            speeds.feed_rate(i["feed_cm_per_tooth"] * 10, i["spindle_rpm"], i["teeth"]), "mm",
        )
        / i["factor_cm3_per_min_per_hp"]
        / i["efficiency"]
    ),
    **{
        name: lambda i, kc=row["expected"]: power.specific_cutting_force(kc, i.get("mc", 0.0), i["chip_thickness_mm"])
        for name, row in PUBLISHED.items()
        if name.startswith("kc-") and "-h" not in name
    },
    **{
        name: lambda i: power.specific_cutting_force(i["kc1_N_per_mm2"], i["mc"], i["chip_thickness_mm"])
        for name in PUBLISHED
        if name.startswith("kc-") and "-h" in name
    },
}  # fmt: skip

TOOL_LIFE: dict[str, Make] = {
    "taylor-1": lambda i: tool_life.life_at(
        i["v2_m_per_min"], tool_life.taylor_constant(i["v1_m_per_min"], i["T1_min"], i["n"]), i["n"]
    ),
    "taylor-2": lambda i: tool_life.speed_for(
        tool_life.least_cost_life(
            i["n"], i["tool_change_min"],
            i["regrind_min"] * i["machine_cost_per_min"] + i["depreciation_per_regrind"], i["machine_cost_per_min"],
        ),
        i["C"], i["n"],
    ),
    "taylor-3n": lambda i: tool_life.taylor_exponent(i["v1_m_per_min"], i["T1_min"], i["v2_m_per_min"], i["T2_min"]),
    "taylor-3c": lambda i: tool_life.taylor_constant(i["v1_m_per_min"], i["T1_min"], i["n"]),
    "taylor-3v": lambda i: tool_life.speed_for(i["T_min"], i["C"], i["n"]),
    "taylor-4": lambda i: (tool_life.extended_life_ratio(i["n"], i["speed_ratio"]) - 1) * 100,
    "taylor-5": lambda i: tool_life.extended_life_ratio(i["n"], i["speed_ratio"]),
    "taylor-6v": lambda i: i["base_life_min"] * tool_life.extended_life_ratio(i["n"], speed=1.2),
    "taylor-6f": lambda i: (
        i["base_life_min"] * tool_life.extended_life_ratio(i["n"], feed=1.2, feed_exponent=i["feed_exp"])
    ),
    "taylor-6d": lambda i: (
        i["base_life_min"] * tool_life.extended_life_ratio(i["n"], depth=1.2, depth_exponent=i["depth_exp"])
    ),
    "taylor-mincost-1": lambda i: tool_life.speed_for(
        tool_life.least_cost_life(
            i["n"], i["tool_change_min"], i["tool_usd_per_edge"], i["labour_machine_usd_per_min"]
        ),
        i["C"], i["n"],
    ),
    "taylor-minlife-1": lambda i: tool_life.least_cost_life(
        i["n"], i["tool_change_min"], i["tool_usd_per_edge"], i["labour_machine_usd_per_min"]
    ),
    "taylor-maxprod-1": lambda i: tool_life.speed_for(
        tool_life.most_output_life(i["n"], i["tool_change_min"]), i["C"], i["n"]
    ),
    "taylor-piececost-Y": taylor_piece_cost,
    "toolchange-1": lambda i: tool_life.change_share(i["cut_min_per_cycle"], i["change_min"], i["life_min"]),
    "toolchange-2": lambda i: tool_life.change_share(i["cut_min"], i["change_min"], i["life_min"]),
}  # fmt: skip

RATES: dict[str, Make] = {
    "markup-1": lambda i: hourly_rates.price_from_markup(i["cost"], i["markup_pct"] / 100),
    "margin-1": lambda i: (i["price"] - i["cost"]) / i["price"] * 100,
    "margin-price-1": lambda i: hourly_rates.price_from_margin(i["cost"], i["margin_pct"] / 100),
    "markup-from-margin": lambda i: (hourly_rates.price_from_margin(1.0, i["margin_pct"] / 100) - 1) * 100,
    **{
        f"be-{n}": lambda i: hourly_rates.process_break_even(
            i["fixed_A"], i["variable_A"], i["fixed_B"], i["variable_B"]
        )
        for n in (1, 2, 3, 4)
    },
    "cost-build-1": lambda i: hourly_rates.price_from_markup(
        hourly_rates.price_from_markup(
            i["material"] + hourly_rates.price_from_markup(i["labour"], i["factory_overhead_pct_of_labour"] / 100),
            i["other_overhead_pct_of_factory_cost"] / 100,
        ),
        i["profit_pct_of_total_cost"] / 100,
    ),
    # Weight in newtons, as the example prices its material.
    "cost-piece-1": lambda i: (
        stock.weight(stock.round_area(i["diameter_mm"]) * i["length_mm"], i["density_g_per_cm3"], "mm")
        * 9.81
        * i["material_price_per_N"]
        + hourly_rates.price_from_markup(
            i["labour_min"] / 60 * i["labour_rate_per_h"], i["overhead_pct_of_labour"] / 100
        )
    ),
    "depr-sl": lambda i: hourly_rates.straight_line(i["cost"], i["salvage"], i["life_years"]),
    "depr-syd": lambda i: hourly_rates.sum_of_years(i["cost"], i["salvage"], i["life_years"], i["year"]),
    "depr-db": lambda i: hourly_rates.declining_balance(i["cost"], i["rate"], i["year"]),
    "rate-crf": lambda i: hourly_rates.capital_recovery(i["interest"], i["years"]),
    "rate-cell": lambda i: i["first_cost"] * i["crf"] / i["hours_per_year"] * (1 + i["overhead_ratio"]),
}

LEARNING: dict[str, Make] = {
    "lc-unit-1": lambda i: learning.unit_time(i["t1_h"], i["unit"], i["rate"]),
    "lc-unit-2": lambda i: learning.unit_time(i["t1_h"], i["unit"], i["rate"]),
    "lc-unit-3": lambda i: (
        i["t100_h"] * learning.unit_time(1.0, i["unit"], i["rate"]) / learning.unit_time(1.0, 100, i["rate"])
    ),
    "lc-cum-1": lambda i: learning.unit_total(i["t1_h"], i["units"], i["rate"]),
    "lc-wright-unit": lambda i: learning.average_unit_time(i["t1_h"], i["unit"], i["rate"]),
    "lc-wright-block": lambda i: learning.block_total(i["t1_h"], i["first"], i["last"], i["rate"]),
    "lc-wright-2": lambda i: learning.average_unit_time(i["t1_h"], 2, i["rate"]),
    **{f"lc-wright-avg-{n}": lambda i: learning.average_time(i["t1_h"], i["units"], i["rate"]) for n in (4, 8, 16)},
    "yield-1": lambda i: yields_to_end([1 - y for y in i["yields"]])[0],
    "yield-2": lambda i: i["start_qty"] * yields_to_end(i["scrap"])[0],
    "yield-start-1": lambda i: entering_pieces(i["good_qty"], [1 - y for y in i["yields"]], 0, False)[0],
}

STOCK: dict[str, Make] = {
    "wt-round-ft": lambda i: pounds(stock.round_area(i["diameter_in"])),
    "wt-hex-ft": lambda i: pounds(stock.hexagon_area(i["across_flats_in"])),
    "wt-sq-ft": lambda i: pounds(i["side_in"] ** 2),
    "wt-tube-ft": lambda i: pounds(stock.tube_area(i["od_in"], i["wall_in"])),
    "wt-plate-ft2": lambda i: pounds(i["thickness_in"] * 12),
    "wt-bar-1": lambda i: pounds(stock.round_area(i["diameter_in"]), i["length_in"]),
    "wt-bar-2": lambda i: pounds(i["t_in"] * i["w_in"], i["length_in"]),
    "wt-bar-3": lambda i: pounds(stock.round_area(i["diameter_in"]), i["length_in"]),
    "wt-hex-1": lambda i: pounds(stock.hexagon_area(i["across_flats_in"]), i["length_in"]),
    "wt-bundle": lambda i: i["bars"] * i["lb_each"],
    "nest-1": lambda i: stock.pieces_per_plate(
        i["plate_L_mm"], i["plate_W_mm"], i["part_l_mm"], i["part_w_mm"], i["kerf_mm"], i["edge_mm"]
    ),
    "bar-yield-1": lambda i: stock.pieces_per_bar(
        i["bar_length_in"], i["bar_end_grip_in"], i["part_length_in"], i["facing_in"], i["cutoff_in"]
    ),
    "bar-allow-under_2_in": lambda i: 100 * stock.bar_feed_allowance(1.9, "in"),
    "bar-allow-2_to_3_in": lambda i: 100 * stock.bar_feed_allowance(2.5 * 25.4, "mm"),
    "bar-allow-3_to_4_in": lambda i: 100 * stock.bar_feed_allowance(3.0, "in"),
    "bar-allow-4_in_and_over": lambda i: 100 * stock.bar_feed_allowance(4.0, "in"),
}

SAMPLING: dict[str, Make] = {
    "z14-example": lambda i: sampling.single_normal_plan(i["lot"], "II", 1.0).accept,
    **{
        name: lambda i: sampling.accepted_poisson(i["n"], i["c"], i["p"])
        for name in PUBLISHED
        if name.startswith("oc-1")
    },
    "oc-2": lambda i: sampling.accepted_poisson(i["n"], i["defectives"], i["lot_fraction"]),
    "oc-3": lambda i: sampling.accepted_poisson(1, i["c"], i["np"]),
    "oc-4": lambda i: sampling.accepted_poisson(1, i["c"], i["np"]),
    "oc-5": lambda i: sampling.accepted_stream(i["n"], i["c"], i["p"]),
    "oc-6": lambda i: sampling.accepted_isolated(i["N"], i["D"], i["n"], i["c"]),
    **{f"oc-h{n}": lambda i: sampling.accepted_isolated(i["N"], i["defective"], i["n"], i["c"]) for n in (1, 2, 3, 4)},
    "c0-1": lambda i: sampling.stream_sample(i["p"], i["confidence"]),
    "gage-10": lambda i: sampling.gauge_tolerance(i["product_tolerance_in"]),
}

UNCERTAINTY: dict[str, Make] = {
    "pert-1": lambda i: risk.pert_mean(i["a"], i["m"], i["b"]),
    "pert-1s": lambda i: risk.pert_spread(i["a"], i["b"]),
    "pert-path": lambda i: risk.sum_spread(i["sds"], 0.0),
    "gao-ml": lambda i: sum(row[1] for row in GAO),
    "gao-mean": lambda i: sum(risk.triangular_mean(*row) for row in GAO),
    "gao-sd0": lambda i: risk.sum_spread([risk.triangular_spread(*row) for row in GAO], i["rho"]),
    "gao-sd3": lambda i: risk.sum_spread([risk.triangular_spread(*row) for row in GAO], i["rho"]),
    "p80-z": lambda i: risk.not_passed(0.0, 1.0, i["p"]),
}

COMPUTED: dict[str, Make] = {
    **UNITS, **TURNING, **HOLES, **MILLING, **POWER, **TOOL_LIFE, **RATES, **LEARNING, **STOCK, **SAMPLING,
    **UNCERTAINTY,
}  # fmt: skip

#: Not computed by the functions of this package, and why.
OUTSIDE: dict[str, str] = {
    **{name: "the close-out of a job, not its estimate" for name in PUBLISHED if name.startswith("var-")},
    **{name: "the whole job is priced in tests/pricing" for name in PUBLISHED if name.startswith("golden-")},
    **dict.fromkeys(
        ("cvp-1", "cvp-2", "cvp-3", "special-order-1", "eoq-1", "disc-1", "cost-back-1"),
        "accounting beyond a job's price",
    ),
    **dict.fromkeys(("rate-usace-1", "rate-usace-2", "rate-usace-3"), "rates of a fleet's yearly use"),
    **dict.fromkeys(("anod-dia", "anod-pd"), "growth of a coating on the drawing"),
    **{name: "advice on a slope, no computation" for name in PUBLISHED if name.startswith("lc-guide")},
    "c0-2": "a cell of a printed table that its publisher does not derive; the hypergeometric plan is another one",
}


def relative(value: float, expected: float) -> float:
    return abs(value - expected) / (abs(expected) or 1.0) if math.isfinite(value) else math.inf
