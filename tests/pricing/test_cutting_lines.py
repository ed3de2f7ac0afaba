"""A cutting line by its kind: whole cuts, a feed of its own, what it says is missing. By hand where not said else."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from quotebook.model import Cutting, Job, JobHeader, MaterialGroup, Operation, Shop, SpeedRow, Stock
from quotebook.model.cutting import FeatureKind
from quotebook.pricing.cutting import line_figures
from quotebook.pricing.features import Conditions, cut_of, lacking
from tests.samples import golden_shop

#: 300 m/min on a cutter of 10 mm: 9549.3 rpm; a tenth of a millimetre for each of two teeth: 1909.9 mm/min.
RATE = 1000 * 300 / (3.141592653589793 * 10) * 0.1 * 2


def shop() -> Shop:
    rows = [
        SpeedRow(
            group="Soft", tool="carbide", cut=cut, units="mm", speed=300, feed=0.1, depth=2.0, width_share=0.2, teeth=2
        )
        for cut in ("mill", "finish")
    ]
    groups = (MaterialGroup(name="Soft", cutting_force=700, force_exponent=0.25),)
    return golden_shop().model_copy(update={"material_groups": groups, "speeds": tuple(rows)})


def line(kind: FeatureKind, **sizes: Any) -> Cutting:
    return Cutting(operation=10, kind=kind, **sizes)


def job(group: str | None = "Soft") -> Job:
    stock = Stock(form="block", material_group=group)
    return Job(job=JobHeader(units="mm"), operations=(Operation(number=10),), stock=stock)


def minutes(kind: FeatureKind, **sizes: Any) -> float | None:
    return line_figures(line(kind, **sizes), job(), shop()).minutes


def test_a_finished_area_takes_whole_passes() -> None:
    """Steps of 2 mm: a rim of 0.3 mm takes one pass of its full length, 5 mm take three."""
    assert minutes("finish milling", diameter=10, length=100, width=0.3) == pytest.approx(100 / RATE)
    assert minutes("finish milling", diameter=10, length=100, width=5.0) == pytest.approx(3 * 100 / RATE)


def test_a_pocket_takes_whole_passes_across_and_whole_levels() -> None:
    """5 mm wide in steps of 2 mm: three passes; 3 mm deep in levels of 2 mm: two. The feed is the line's own."""
    own = {"diameter": 10, "length": 100, "feed": 0.1}
    assert minutes("pocket milling", width=5.0, depth=3.0, **own) == pytest.approx(3 * 2 * 100 / RATE)
    assert minutes("pocket milling", width=0.5, depth=0.5, **own) == pytest.approx(100 / RATE)


def test_only_the_feed_of_the_table_is_raised_for_thin_chips() -> None:
    """1 mm of a cutter of 10: the table's feed is raised to 1 / 0.6 of it; one that is typed is taken as it is."""
    sizes = {"diameter": 10, "length": 100, "width": 1.0, "depth": 1.0}
    approach = shop().policy.approach_mm
    typed = minutes("contour milling", feed=0.1, **sizes)
    assert typed == pytest.approx((100 + approach) / RATE)
    assert minutes("contour milling", **sizes) == pytest.approx((100 + approach) / RATE * 0.6)


def test_a_counterbore_has_no_point_and_parting_off_is_a_groove_to_the_bore() -> None:
    """By hand, a feed of 0.1 mm a revolution typed: 5 mm deep with a cutter of 10; a bar of 20 with a bore of 8."""
    approach, rpm = shop().policy.approach_mm, 1000 * 300 / (3.141592653589793 * 10)
    own = {"speed": 300, "feed": 0.1}
    assert minutes("counterbore", diameter=10, length=5, **own) == pytest.approx((5 + approach) / (0.1 * rpm))
    parted = minutes("part off", diameter=20, end_diameter=8, **own)
    assert parted == pytest.approx(3.141592653589793 * (20**2 - 8**2) / (4000 * 300 * 0.1))
    assert parted == minutes("groove or part off", diameter=20, end_diameter=8, **own)


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("turning", "A diameter, B diameter, C length, depth of one cut"),
        ("facing", "A diameter, depth of one cut"),
        ("groove or part off", "A diameter"),
        ("part off", "A diameter"),
        ("drilling", "A diameter, C length"),
        ("counterbore", "A diameter, C length"),
        ("tapping", "A diameter, C length, P pitch"),
        ("thread milling", "A diameter, B diameter, C length, P pitch"),
        ("slot milling", "A diameter, C length, E depth, depth of one cut"),
        ("pocket milling", "A diameter, C length, D width, E depth, depth of one cut, width of one cut on Speeds"),
        ("finish milling", "A diameter, C length, D width, width of one cut on Speeds"),
        ("chamfer or deburr", "A diameter, C length"),
    ],
)
def test_an_empty_line_names_every_size_that_it_needs(kind: FeatureKind, names: str) -> None:
    figures = line_figures(line(kind, speed=100, feed=0.1), job(), golden_shop())
    assert figures.minutes is None
    assert ", ".join(figures.lacking) == names
    assert figures.missing == f"({kind}) lacks: {names}"


def test_a_line_lacks_something_exactly_when_it_has_no_cut() -> None:
    """By definition; every kind with every size there or not."""
    at = Conditions("mm", 100, 0.1, 1.0, 0.5, 2, None, None, 0.0)
    tried = 0
    for kind in get_args(FeatureKind):
        for bits in range(64):
            given = [size for index, size in enumerate(SIZES) if bits >> index & 1]
            one = line(kind, **dict.fromkeys(given, 5.0))
            assert (cut_of(one, at) is None) == bool(lacking(one, at)), one
            tried += 1
    assert tried == 16 * 64


SIZES = ("diameter", "end_diameter", "length", "width", "depth", "pitch")


def test_an_inside_above_the_outside_is_told_as_that() -> None:
    figures = line_figures(line("facing", diameter=5, end_diameter=6, speed=9, feed=1, depth_of_cut=1), job(), shop())
    assert figures.minutes is None
    assert "inside diameter above the outside" in figures.missing


def test_a_line_without_a_material_group_waits_for_it() -> None:
    assert "waits for the stock's material group" in line_figures(line("drilling"), job(None), shop()).missing
