"""Makes the dozen jobs of the invented shop in examples/jobs: ``python -m tests.make_example_jobs``.

Everything is invented. Actual figures are drawn with a fixed seed, some jobs lucky, some not; the same run gives the
same files.
"""

from __future__ import annotations

import datetime
import random
from pathlib import Path
from typing import Any

from quotebook.model import Job, Shop, check_against, job_from_data, job_to_toml, read_shop
from quotebook.pricing import price_job

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
#: Setups take longer than this shop thinks, runs nearly as long as it thinks.
SETUP_BIAS, RUN_BIAS, NOISE = 1.22, 1.04, 0.13

Data = dict[str, Any]


def op(number: int, what: str, where: str, setup: float, cycle: float, **more: Any) -> Data:
    """One operation; ``where`` is a work center, or a hand rate when it begins with a star."""
    place = {"hand_rate": where[1:]} if where.startswith("*") else {"work_center": where}
    return {
        "number": number, "description": what, **place, "setup_base_hours": setup, "cycle_minutes": cycle,
        "low_cycle_minutes": round(cycle * 0.85, 2), "high_cycle_minutes": round(cycle * 1.35, 2), **more,
    }  # fmt: skip


MILL, BIG, LATHE = "3-axis mill, small", "3-axis mill, large", "Lathe with live tools"
DEBURR: Data = op(90, "Deburr and wash", "*Bench", 0.1, 3)


def job(
    name: str, part: str, customer: str, units: str, quantities: list[int], stock: Data, *ops: Data, **more: Any
) -> Data:
    """A whole job; ``more`` goes into the tables that it names."""
    number = 2000 + sum(map(ord, part)) % 900
    head = {
        "customer": f"{customer} (invented)", "part_number": part, "part_name": name, "revision": more.pop("rev", "A"),
        "units": units, "quote_number": f"Q-{number}", "prepared_by": "Estimating",
        "quote_date": datetime.date(2031, 3, 10), "due_date": datetime.date(2031, 5, 30), "lead_days": 28,
        "quantities": quantities, "packing_per_lot": 18, "packing_per_piece": 0.35, "note": "Invented example.",
    }  # fmt: skip
    size = more.pop("size")
    fit = {"length": size[0], "width": size[1], "height": size[2], "interest": 2, "tightest_tolerance": more.pop("tol")}
    data: Data = {
        "job": head, "fit": fit, "stock": {"price_basis": "each", **stock}, "operation": [*ops, DEBURR],
        "inspection": {"rate": "Inspection", "setup_hours": 0.3, "minutes_per_piece": 2.5, "plan": "sampling table"},
        "nonrecurring": [{"description": "Programming", "hours": more.pop("hours", 3.0), "rate": "Programming"}],
    }  # fmt: skip
    return {**data, **more}


def bar(form: str, material: str, size: float, length: float, price: float | None, **more: Any) -> Data:
    """Bar stock in the drawing's units, priced each bar."""
    priced = {} if price is None else {"price": price}
    return {
        "form": form, "material": material, "size_a": size, "piece_length": length, "kerf": more.pop("kerf"),
        "facing": more.pop("facing"), "bar_length": more.pop("bar"), "grip": more.pop("grip"), **priced, **more,
    }  # fmt: skip


def mm_bar(form: str, material: str, size: float, length: float, price: float | None, **more: Any) -> Data:
    """Metric bar of 3000 mm."""
    return bar(form, material, size, length, price, kerf=3, facing=2, bar=3000, grip=120, **more)


def inch_bar(form: str, material: str, size: float, length: float, price: float | None, **more: Any) -> Data:
    """Inch bar of 144 in."""
    return bar(form, material, size, length, price, kerf=0.125, facing=0.06, bar=144, grip=4, **more)


ANODIZE: Data = {
    "name": "Anodize clear", "kind": "outside processing", "operation": 90, "specification": "anodize, clear, class 1",
    "size_to_quote": "0.9 dm2 each", "masking": "mask the two reamed holes",
    "certificate": "certificate of conformance",
}  # fmt: skip
INSERTS: Data = {
    "name": "Threaded insert M4", "kind": "hardware", "quantity_per_piece": 4, "attrition_share": 0.03, "pack_size": 50,
    "specification": "wire thread insert M4 x 6, stainless",
}  # fmt: skip


def priced(row: Data, price: float) -> Data:
    """A buyout with a price of its own."""
    return {**row, "price": price}


JOBS: dict[str, Data] = {
    "bearing-cap": job(
        "Bearing cap", "RC-310", "Sample Conveyors", "mm", [10, 50, 100],
        mm_bar("round bar", "Aluminum 6061", 60, 24, None, specification="T6", certificate="3.1"),
        op(10, "Turn both sides", LATHE, 0.8, 6.5, touch_offs=4, load_minutes=0.5, scrap_share=0.02),
        op(20, "Drill and ream", MILL, 0.5, 3.2, touch_offs=3, tight_features=1, load_minutes=0.6),
        size=(60, 60, 22), tol=0.015, buyout=[ANODIZE, INSERTS], rev="B",
    ),
    "hinge-block": job(
        "Hinge block", "RC-122", "Sample Conveyors", "in", [4, 16],
        inch_bar("square bar", "Carbon steel", 1.5, 2.4, 61),
        op(10, "Mill complete", MILL, 0.9, 14, touch_offs=6, tight_features=1, load_minutes=1.0, scrap_share=0.02),
        size=(2.4, 1.5, 1.5), tol=0.001,
    ),
    "spacer-ring": job(
        "Spacer ring", "IM-008", "Imaginary Marine", "mm", [25, 100],
        mm_bar("tube", "Stainless 303", 50, 12, 148, wall=8),
        op(10, "Turn and part off", LATHE, 0.6, 3.1, touch_offs=3, load_minutes=0.2, scrap_share=0.02),
        size=(50, 50, 11), tol=0.02,
    ),
    "valve-body": job(
        "Valve body", "IM-040", "Imaginary Marine", "mm", [6, 24],
        mm_bar("square bar", "Stainless 303", 45, 70, 296),
        op(10, "Turn ports", LATHE, 1.0, 15, touch_offs=5, tight_features=2, load_minutes=0.8, scrap_share=0.04),
        op(20, "Mill flats and drill", MILL, 0.8, 11, touch_offs=6, load_minutes=0.8, scrap_share=0.02),
        size=(70, 45, 45), tol=0.015, hours=5.0,
    ),
    "guide-rail": job(
        "Guide rail", "FT-201", "Fictional Tidal Energy", "mm", [8, 20],
        mm_bar("flat bar", "Carbon steel", 40, 420, 58, size_b=15),
        op(10, "Mill faces and slots", BIG, 1.1, 21, touch_offs=5, load_minutes=2.0, scrap_share=0.03),
        size=(420, 38, 14), tol=0.03,
    ),
    "clamp-jaw": job(
        "Clamp jaw", "RC-415", "Sample Conveyors", "in", [10, 30],
        inch_bar("flat bar", "Carbon steel", 2.0, 3.1, 74, size_b=1.0),
        op(10, "Mill profile", MILL, 0.7, 9, touch_offs=5, load_minutes=0.8, scrap_share=0.01),
        op(20, "Mill serrations", MILL, 0.4, 4, touch_offs=2, load_minutes=0.6),
        size=(3.1, 1.9, 0.9), tol=0.002,
    ),
    "pulley-hub": job(
        "Pulley hub", "MW-077", "Made-up Winches", "mm", [20, 60],
        mm_bar("round bar", "Aluminum 6061", 90, 46, 214),
        op(10, "Turn", LATHE, 0.9, 8.5, touch_offs=5, tight_features=1, load_minutes=0.5, scrap_share=0.03),
        op(20, "Broach and drill", "*Bench", 0.2, 4),
        size=(88, 88, 44), tol=0.02, buyout=[priced(INSERTS, 31)],
    ),
    "pivot-pin": job(
        "Pivot pin", "MW-012", "Made-up Winches", "mm", [50, 200],
        mm_bar("round bar", "Carbon steel", 20, 64, 17.5),
        op(10, "Turn and groove", LATHE, 0.5, 2.4, touch_offs=3, load_minutes=0.15, scrap_share=0.01),
        size=(64, 20, 20), tol=0.02,
    ),
    "motor-plate": job(
        "Motor plate", "FT-330", "Fictional Tidal Energy", "mm", [5, 15],
        {"form": "plate", "material": "Aluminum 6061", "size_a": 260, "size_b": 16, "piece_length": 310, "price": 41},
        op(10, "Mill and bore", BIG, 1.0, 26, touch_offs=7, tight_features=2, load_minutes=2.5, scrap_share=0.02),
        size=(300, 250, 14), tol=0.03, buyout=[priced(ANODIZE, 4.4)],
    ),
    "lever-arm": job(
        "Lever arm", "RC-510", "Sample Conveyors", "in", [12, 48],
        inch_bar("flat bar", "Aluminum 7075", 2.5, 6.2, 142, size_b=0.75),
        op(10, "Mill profile", MILL, 0.8, 7.5, touch_offs=4, load_minutes=0.8, scrap_share=0.02),
        size=(6.2, 2.4, 0.7), tol=0.002,
    ),
    "shaft-end": job(
        "Shaft end", "MW-101", "Made-up Winches", "mm", [10, 40],
        mm_bar("hex bar", "Stainless 303", 36, 88, 168),
        op(10, "Turn and thread", LATHE, 0.9, 7, touch_offs=5, tight_features=1, load_minutes=0.4, scrap_share=0.02),
        size=(88, 36, 36), tol=0.015,
    ),
    "deep-housing": job(
        "Deep housing", "FT-900", "Fictional Tidal Energy", "mm", [2, 6],
        {"form": "block", "material": "Aluminum 7075", "size_a": 620, "size_b": 560, "piece_length": 1240,
         "price": 2400},
        op(10, "Mill complete", BIG, 4.0, 540, touch_offs=14, tight_features=6, load_minutes=20),
        size=(1200, 600, 540), tol=0.01,
    ),
}  # fmt: skip

#: Jobs that were made, with the quantity ordered.
DONE = {"spacer-ring": 100, "valve-body": 24, "guide-rail": 8, "clamp-jaw": 30, "pulley-hub": 60, "pivot-pin": 200}


def with_actuals(data: Data, shop: Shop, good: int, rng: random.Random) -> Data:
    """Return the job with what it really took, drawn around the estimate."""
    checked = job_from_data(data, "example")
    lot = price_job(checked, shop).lot(good)
    luck = rng.uniform(0.94, 1.12)
    operations = []
    for row, figures in zip(data["operation"], lot.operations, strict=True):
        pieces = figures.entering + rng.choice((0, 0, 1, 2))
        run = pieces * ((figures.cycle_minutes or 0) + row.get("load_minutes", 0)) / 60
        actual = {
            "actual_setup_hours": round(figures.setup_hours * SETUP_BIAS * rng.uniform(1 - NOISE, 1 + NOISE), 2),
            "actual_run_hours": round(run * RUN_BIAS * luck * rng.uniform(1 - NOISE, 1 + NOISE), 2),
            "actual_pieces": pieces,
        }
        operations.append({**row, **actual})
    bought = {figures.line: figures.purchase or 0.0 for figures in lot.purchases}

    def paid(line: str) -> float:
        return round(bought[line] * rng.choice((1.0, 1.0, 1.06, 1.15)), 2)

    once = [{**row, "actual_hours": round(row["hours"] * rng.uniform(0.9, 1.4), 1)} for row in data["nonrecurring"]]
    actuals = {
        "pieces_started": operations[0]["actual_pieces"], "good_pieces": good, "invoiced": lot.extended_price,
        "nonrecurring_invoiced": lot.charge, "inspection_hours": round((lot.inspection_hours or 0) * 1.1, 2),
        "packing_freight": round((lot.cost_elements.packing or 0) * rng.uniform(0.9, 1.2), 2),
    }  # fmt: skip
    buyouts = [{**row, "actual_cost": paid(row["name"])} for row in data.get("buyout", [])]
    stock = {**data["stock"], "actual_cost": paid("Stock")}
    changed = {**data, "operation": operations, "nonrecurring": once, "actuals": actuals, "stock": stock}
    return {**changed, "buyout": buyouts} if buyouts else changed


def make_all() -> dict[str, Job]:
    """Return every example job by name."""
    shop, rng = read_shop(EXAMPLES / "shop.toml"), random.Random(20310310)
    made = {}
    for name, data in JOBS.items():
        if name in DONE:
            data = with_actuals(data, shop, DONE[name], rng)
        made[name] = job_from_data(data, name)
        check_against(made[name], shop, name)
    return made


if __name__ == "__main__":
    (EXAMPLES / "jobs").mkdir(exist_ok=True)
    for title, example in make_all().items():
        text = "# Invented example; made by tests/make_example_jobs.py.\n" + job_to_toml(example)
        (EXAMPLES / "jobs" / f"{title}.toml").write_text(text, encoding="utf-8")
