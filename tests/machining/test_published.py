"""Every published figure that our functions can compute, within the tolerance of its print.

The source of each figure stands beside it in published.json, with whether inputs and answer were seen there.
"""

from __future__ import annotations

import pytest

from quotebook.machining import sampling, units
from tests.machining.published import COMPUTED, OUTSIDE, PUBLISHED, relative

LETTERS = [name for name in PUBLISHED if name.startswith("z14-letter")]
PLANS = [name for name in PUBLISHED if name.startswith("z14-") and "aql_pct" in PUBLISHED[name]["inputs"]]
DENSITIES = [name for name in PUBLISHED if name.startswith("dens-")]


@pytest.mark.parametrize("name", sorted(COMPUTED))
def test_computed_as_published(name: str) -> None:
    row = PUBLISHED[name]
    value = COMPUTED[name](row["inputs"])
    assert relative(value, row["expected"]) <= row["rel_tol"] + 1e-12, (value, row["expected"], row["source"])


@pytest.mark.parametrize("name", LETTERS)
def test_code_letters_hold_from_the_first_to_the_last_lot_of_their_range(name: str) -> None:
    """Source: the two charts named in published.json."""
    inputs, sample = PUBLISHED[name]["inputs"], PUBLISHED[name]["expected"]
    last = inputs["lot_max"] if isinstance(inputs["lot_max"], int) else 10**7
    assert sampling.code_letter(inputs["lot_min"], "II") == inputs["letter"]
    assert sampling.code_letter(last, "II") == inputs["letter"]
    sizes = dict(
        zip(sampling.LETTERS, (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250, 2000), strict=True)
    )
    assert sizes[inputs["letter"]] == sample


@pytest.mark.parametrize("name", PLANS)
def test_plans_are_those_published(name: str) -> None:
    """Source: the specification table named in published.json, arrows followed."""
    row = PUBLISHED[name]
    inputs = row["inputs"]
    plan = sampling.single_normal_plan(inputs["lot_min"], "II", inputs["aql_pct"])
    whole = inputs["sample_size"] >= inputs["lot_min"]
    assert plan.sample == (inputs["lot_min"] if whole else inputs["sample_size"])
    assert plan.accept == (0 if whole else row["expected"])
    assert inputs["reject_number"] == row["expected"] + 1


@pytest.mark.parametrize("name", DENSITIES)
def test_densities_agree_between_their_two_printed_units(name: str) -> None:
    """Source: the data sheets named in published.json; a page that prints both must mean one density."""
    row = PUBLISHED[name]
    printed = row["inputs"].get("also_printed_lb_per_in3")
    assert 0.5 < row["expected"] < 20
    if printed is not None:
        # One of the last printed decimal each. Half would be honest rounding; two pages do not round honestly:
        # carbon steel prints 7.85 and 0.2833 (which is 7.842), Ti-6Al-4V 4.42 and 0.159 (which is 4.401).
        last = 10 ** -decimals(row["expected"]) / units.G_PER_CM3_IN_LB_PER_IN3 + 10 ** -decimals(printed)
        assert abs(row["expected"] / units.G_PER_CM3_IN_LB_PER_IN3 - printed) <= last


def decimals(figure: float) -> int:
    return len(str(figure).partition(".")[2])


def test_nothing_published_is_left_unsaid() -> None:
    """Each figure is computed, compared in a test of its own, or named with the reason why it is outside."""
    told = {*COMPUTED, *LETTERS, *PLANS, *DENSITIES, *OUTSIDE}
    assert set(PUBLISHED) - told == set()
    assert len(PUBLISHED) == 397
