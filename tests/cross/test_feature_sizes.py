"""Blank sizes of features: formulas and reference take the same, for random parts, stock, units and usual cutters.

None of the two is the source of truth; what follows from what is checked by hand in ``tests/pricing``.
"""

from __future__ import annotations

import random
from collections import Counter
from typing import Any, get_args

import pytest

from quotebook.flows.demo import examples_folder
from quotebook.model import Cutting, Fit, Job, JobHeader, Operation, Shop, Stock, Usual, read_shop
from quotebook.model.cutting import FeatureKind
from quotebook.pricing.cutting import line_figures
from quotebook.pricing.usual import job_in_force
from quotebook.values import Value
from tests.cross.unfiled import cell, layout, shown

KINDS = get_args(FeatureKind)
PLAN = layout(())
SIZES = ("diameter", "length", "width", "depth")
#: Lines of one job, and jobs.
LINES, JOBS = 50, 24
FORMS = ("round bar", "tube", "plate", "block", "square bar", "flat bar")


@pytest.fixture(scope="module")
def shop() -> Shop:
    return read_shop(examples_folder() / "shop.toml")


def drawn_usual(draw: random.Random) -> Usual:
    """Cutters and clean-up in inch or millimetres, each given or not."""
    units = draw.choice(["in", "mm"])
    scale = 1.0 if units == "in" else 25.4

    def perhaps(low: float, high: float) -> float | None:
        return round(draw.uniform(low, high) * scale, 3) if draw.random() < 0.85 else None

    return Usual(
        units=units, clean_up=perhaps(0.02, 0.2), face_mill=perhaps(1, 4), end_mill=perhaps(0.1, 1),
        chamfer_tool=perhaps(0.1, 0.5), face_mill_teeth=draw.choice([None, 4, 6]), feature_sizes=draw.random() < 0.85,
        tool_changes=1, kerf=0.1,
    )  # fmt: skip


def drawn_job(draw: random.Random, form: str) -> Job:
    """A part in stock of a form, and lines of every kind with half of the sizes blank."""
    units = draw.choice(["in", "mm"])
    scale = 1.0 if units == "in" else 25.4
    across = round(draw.uniform(0.5, 2) * scale, 3)
    alike = form in ("round bar", "tube", "square bar") and draw.random() < 0.8
    fit = Fit(
        length=round(draw.uniform(0.3, 5) * scale, 3), width=across, height=across if alike else round(across / 3, 3)
    )
    stock = Stock(
        form=form, material="Aluminum 6061", units=draw.choice([None, "in", "mm"]), price=20, price_basis="each",
        size_a=None if draw.random() < 0.7 else round(draw.uniform(1, 60), 3),
    )  # fmt: skip
    lines = tuple(_drawn_line(draw, scale, KINDS[row % len(KINDS)]) for row in range(LINES))
    head = JobHeader(units=units, quantities=(10,))
    operation = Operation(number=10, work_center="3-axis mill, small")
    return Job(job=head, fit=fit, stock=stock, operations=(operation,), cutting=lines)


def _drawn_line(draw: random.Random, scale: float, kind: str) -> Cutting:
    sizes: dict[str, Any] = {
        name: round(draw.uniform(0.1, 2) * scale, 3) for name in (*SIZES, "pitch") if draw.random() < 0.5
    }
    sizes["end_diameter"] = round(draw.uniform(0.01, 0.09) * scale, 3)
    return Cutting(operation=10, kind=kind, rapid_length=0, **sizes)  # type: ignore[arg-type]


def test_blank_sizes_are_taken_alike_and_give_the_same_minutes(shop: Shop) -> None:
    taken: Counter[str] = Counter()
    stock: Counter[str] = Counter()
    for seed in range(JOBS):
        draw = random.Random(seed)
        its_shop, job = shop.model_copy(update={"usual": drawn_usual(draw)}), drawn_job(draw, FORMS[seed % len(FORMS)])
        results, force = shown(PLAN, its_shop, job), job_in_force(job, its_shop)
        for name in ("size_a", "size_b", "piece_length"):
            size, found = getattr(force.stock, name), results[cell(PLAN, f"stock_{name}_used", None, None)]
            assert same(found or None, size), f"seed {seed} {job.stock.form} {name}: {found!r}, reference {size!r}"
            stock[f"{job.stock.form} {name}"] += getattr(job.stock, name) is None and size is not None
        for row, (typed, line) in enumerate(zip(job.cutting, force.cutting, strict=True)):
            for name in SIZES:
                size, found = getattr(line, name), results[cell(PLAN, f"cutting_{name}_used", row, None)]
                assert same(found, size), f"seed {seed} line {row} {typed.kind} {name}: {found!r}, reference {size!r}"
                taken[f"{typed.kind} {name}"] += getattr(typed, name) is None and size is not None
            minutes, figures = results[cell(PLAN, "cutting_minutes", row, None)], line_figures(line, force, its_shop)
            if figures.minutes is not None:
                assert minutes == pytest.approx(figures.minutes, rel=1e-9), f"seed {seed} line {row} {typed.kind}"
    always = {f"{kind} diameter" for kind in ("turning", "facing", "part off", "chamfer or deburr")}
    milled = {f"{kind} {name}" for kind in ("face milling", "contour milling") for name in SIZES}
    others = {
        "turning length",
        "drilling length",
        "reaming length",
        "chamfer or deburr length",
        "pocket milling diameter",
    }
    wanted = always | milled | others | {"finish milling diameter"}
    assert {what for what, count in taken.items() if count} == wanted
    assert all(stock[f"{form} piece_length"] for form in FORMS)
    assert stock["flat bar size_a"]


def same(found: Value, reference: float | None) -> bool:
    if reference is None:
        return found in ("", None)
    return isinstance(found, float) and found == pytest.approx(reference, rel=1e-9)
