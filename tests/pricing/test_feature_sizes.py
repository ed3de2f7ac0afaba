"""Blank sizes of a cutting line, by hand; what follows from what: common practice, no source."""

from __future__ import annotations

import math

import pytest

from quotebook.model import (
    Cutting,
    Fit,
    Job,
    JobHeader,
    Operation,
    Shop,
    StandardSize,
    Stock,
    Usual,
)
from quotebook.pricing.setup import setup_hours
from quotebook.pricing.usual import job_in_force
from tests.samples import metric_shop, work_center

USUAL = Usual(units="mm", clean_up=2, face_mill=63, face_mill_teeth=5, end_mill=12, chamfer_tool=6, feature_sizes=True)


def taken(line: Cutting, job: Job, usual: Usual = USUAL) -> tuple[float | None, ...]:
    """Return A, C, D and E of the line in force."""
    found = in_force(line, job, usual)
    return found.diameter, found.length, found.width, found.depth


def in_force(line: Cutting, job: Job, usual: Usual = USUAL) -> Cutting:
    shop: Shop = metric_shop().model_copy(update={"usual": usual, "work_centers": (work_center("Mill", 50, 80),)})
    whole = job.model_copy(update={"operations": (Operation(number=10, work_center="Mill"),), "cutting": (line,)})
    return job_in_force(whole, shop).cutting[0]


def job(form: str, fit: Fit, units: str = "mm", **stock: float | str) -> Job:
    return Job(job=JobHeader(units=units, quantities=(10,)), fit=fit, stock=Stock(form=form, **stock))  # type: ignore[arg-type]


BLOCK = job("block", Fit(length=40, width=100, height=20), size_a=44, size_b=25, piece_length=104)
ROUND = job("round bar", Fit(length=64, width=28, height=28), size_a=30)


@pytest.mark.parametrize(
    ("kind", "sizes"),
    [
        ("face milling", (63, 100, 40, 2.5)),
        ("contour milling", (12, 280, 2, 20)),
        ("finish milling", (12, None, None, None)),
        ("chamfer or deburr", (6, 280, None, None)),
        ("drilling", (None, 20, None, None)),
        ("reaming", (None, 20, None, None)),
        ("turning", (None,) * 4),
        ("slot milling", (None,) * 4),
        ("pocket milling", (12, None, None, None)),
    ],
)
def test_a_milled_part_gives_its_outline_its_thickness_and_what_the_stock_has_more(
    kind: str, sizes: tuple[float | None, ...]
) -> None:
    assert taken(Cutting(operation=10, kind=kind), BLOCK) == sizes  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("kind", "diameter", "length"),
    [
        ("facing", 30, None), ("turning", 30, 64), ("part off", 28, None), ("groove or part off", None, None),
        ("boring", None, None),
        ("chamfer or deburr", 6, 2 * math.pi * 28), ("drilling", None, None), ("face milling", 63, None),
    ],
)  # fmt: skip
def test_a_turned_part_gives_its_bar_its_length_and_its_diameter(
    kind: str, diameter: float | None, length: float | None
) -> None:
    found = taken(Cutting(operation=10, kind=kind), ROUND)  # type: ignore[arg-type]
    assert found == (diameter, length, None, None)


def test_what_is_typed_goes_first_and_brings_its_own_teeth() -> None:
    line = Cutting(operation=10, kind="face milling", diameter=20, length=90, width=30, depth=1)
    assert taken(line, BLOCK) == (20, 90, 30, 1)
    assert in_force(line, BLOCK).teeth is None
    assert in_force(Cutting(operation=10, kind="face milling"), BLOCK).teeth == 5
    assert in_force(Cutting(operation=10, kind="face milling", teeth=4), BLOCK).teeth == 4


def test_a_pocket_takes_the_usual_end_mill_only_where_it_enters() -> None:
    wide, narrow = (Cutting(operation=10, kind="pocket milling", width=width) for width in (12, 11.9))
    assert (taken(wide, BLOCK)[0], taken(narrow, BLOCK)[0]) == (12, None)


def test_inch_drawing_in_metric_stock_and_metric_cutters() -> None:
    inch = job("block", Fit(length=4, width=2, height=1), units="in", size_a=60.8, size_b=30.48)
    inch = inch.model_copy(update={"stock": inch.stock.model_copy(update={"units": "mm"})})
    found = taken(Cutting(operation=10, kind="contour milling"), inch)
    assert found == pytest.approx((12 / 25.4, 12, (60.8 / 25.4 - 2) / 2, 1))
    assert taken(Cutting(operation=10, kind="face milling"), inch)[3] == pytest.approx((30.48 / 25.4 - 1) / 2)


def test_stock_that_leaves_nothing_to_cut_gives_no_width_and_no_depth() -> None:
    tight = job("block", Fit(length=40, width=100, height=20), size_a=40, size_b=20, piece_length=100)
    assert taken(Cutting(operation=10, kind="face milling"), tight)[3] is None
    assert taken(Cutting(operation=10, kind="contour milling"), tight)[2] is None


@pytest.mark.parametrize("without", [{"feature_sizes": False}, {"clean_up": None}])
def test_a_shop_that_takes_no_sizes_takes_its_cutters_alone(without: dict[str, object]) -> None:
    usual = USUAL.model_copy(update=without)
    assert taken(Cutting(operation=10, kind="face milling"), BLOCK, usual) == (63, None, None, None)
    assert taken(Cutting(operation=10, kind="turning"), ROUND, usual) == (None,) * 4


def test_flat_bar_lies_as_the_part_does_and_is_cut_to_its_length() -> None:
    """By hand: a plate 100 x 40 x 20 of flat bar, clean-up 2: 42 wide, next thickness 25, pieces of 100."""
    sizes = (StandardSize(form="flat bar", units="mm", size=20), StandardSize(form="flat bar", units="mm", size=25))
    flat = job("flat bar", Fit(length=40, width=100, height=20))
    for usual, found in ((USUAL, (42, 25, 100)), (USUAL.model_copy(update={"feature_sizes": False}), (None,) * 3)):
        shop = metric_shop().model_copy(update={"usual": usual, "standard_sizes": sizes})
        stock = job_in_force(flat, shop).stock
        assert (stock.size_a, stock.size_b, stock.piece_length) == found


def test_the_first_piece_is_checked_as_usual_unless_the_job_says_else() -> None:
    center = work_center("Mill", 50, 80, usual_first_piece_minutes=12.0)
    shop = metric_shop().model_copy(update={"work_centers": (center,)})
    rows = (
        Operation(number=10, work_center="Mill"),
        Operation(number=20, work_center="Mill", first_piece_minutes=0),
        Operation(number=30, work_center="Mill", hand_rate="Bench"),
    )
    force = job_in_force(BLOCK.model_copy(update={"operations": rows}), shop)
    assert [row.first_piece_minutes for row in force.operations] == [12, 0, 0]
    assert setup_hours(force.operations[0], shop) == pytest.approx(0.2)


def test_taking_twice_changes_nothing() -> None:
    shop = metric_shop().model_copy(update={"usual": USUAL})
    once = job_in_force(BLOCK.model_copy(update={"cutting": (Cutting(operation=10, kind="face milling"),)}), shop)
    assert job_in_force(once, shop) == once
