"""Monotone where physics says so, and edges of each function. Source of each: stated beside it."""

from __future__ import annotations

import datetime
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotebook.machining import holes, learning, milling, power, sampling, speeds, stock, tool_life, turning
from quotebook.machining import uncertainty as risk
from quotebook.machining import working_days as days

some = st.floats(0.1, 200)
quick = settings(deadline=None, max_examples=60)


@quick
@given(some, some, some, st.floats(1, 50), st.floats(1.0, 2.0))
def test_more_stock_is_never_faster(d: float, length: float, speed: float, more: float, deeper: float) -> None:
    """Deeper, longer, wider: never faster (physics)."""
    depth = 2.0
    base = turning.turning_minutes(d + 2 * more, d, length, speed, 0.2, depth, "mm")
    assert turning.turning_minutes(d + 2 * more, d, length * deeper, speed, 0.2, depth, "mm") >= base * (1 - 1e-9)
    pocket = milling.pocket_milling_minutes(length, d, more, 5.0, depth, speed)
    assert milling.pocket_milling_minutes(length, d, more * deeper, 5.0, depth, speed) >= pocket * (1 - 1e-9)
    slot = milling.slot_milling_minutes(length, more, 6.0, depth, speed)
    assert milling.slot_milling_minutes(length, more * deeper, 6.0, depth, speed) >= slot * (1 - 1e-9)
    hole = holes.drilling_minutes(6.0, more, 0.1, 1000) + holes.peck_minutes(more, 3.0, 5000)
    deep = holes.drilling_minutes(6.0, more * deeper, 0.1, 1000) + holes.peck_minutes(more * deeper, 3.0, 5000)
    assert deep >= hole * (1 - 1e-9)


@quick
@given(some, some, st.floats(50, 20000))
def test_a_top_speed_never_makes_it_faster(d: float, v: float, top: float) -> None:
    """A limit only costs time (physics)."""
    free = turning.facing_minutes(d, d / 3, v, 0.2, "mm")
    assert turning.facing_minutes(d, d / 3, v, 0.2, "mm", top) >= free * (1 - 1e-12)
    capped_everywhere = turning.facing_minutes(d, 0, 1e6, 0.2, "mm", top)
    assert capped_everywhere == pytest.approx(d / 2 / (0.2 * top), rel=1e-3)


@quick
@given(some, some, st.floats(0.05, 0.4), st.floats(1.0, 3.0))
def test_harder_is_never_faster(needed: float, limit: float, mc: float, harder: float) -> None:
    """More force needs more power, so the feed is cut back at least as far (physics)."""
    soft = power.cut_back(needed, 1.0, limit, None, mc)
    hard = power.cut_back(needed * harder, harder, limit, None, mc)
    assert hard <= soft <= 1.0
    # What is left just fits: power goes with the feed to 1 - mc (algebra).
    assert needed * soft ** (1 - mc) <= limit * (1 + 1e-9)


def test_limits_that_are_not_known_cut_nothing_back() -> None:
    """By definition."""
    assert power.cut_back(5.0, 5.0, None, None, 0.25) == 1.0
    assert power.cut_back(0.0, 0.0, 1.0, 1.0, 0.25) == 1.0


def test_thin_chips() -> None:
    """Half the diameter and more: no thinning; a tenth: 1/0.6; very little: the limit of 3 (by hand)."""
    assert speeds.thinning_factor(0.5) == speeds.thinning_factor(0.8) == 1.0
    assert speeds.thinning_factor(0.1) == pytest.approx(1 / 0.6)
    assert speeds.thinning_factor(0.001) == 3.0


def test_pecks_by_hand() -> None:
    """30 deep by 10: two retracts, out and in over 10, then over 20: 60 of rapid and two dwells."""
    assert holes.peck_retracts(30, 10) == 2
    assert holes.peck_minutes(30, 10, 6000, 3) == pytest.approx(60 / 6000 + 6 / 60)
    assert holes.peck_minutes(9, 10, 6000) == 0.0


@quick
@given(st.floats(0.08, 0.5), some, st.floats(0.1, 20), st.floats(0.1, 3), st.floats(0.2, 3))
def test_least_cost_speed_is_a_minimum(n: float, c: float, edge: float, minute: float, change: float) -> None:
    """Cost a minute of cut length at that speed is below that at 2 % more or less (calculus)."""

    def cost(speed: float) -> float:
        life = tool_life.life_at(speed, c, n)
        return minute / speed + tool_life.tool_cost(1 / speed, life, edge, change, minute)

    best = tool_life.speed_for(tool_life.least_cost_life(n, change, edge, minute), c, n)
    assert cost(best) <= min(cost(best * 1.02), cost(best / 1.02))
    assert tool_life.speed_for(tool_life.most_output_life(n, change), c, n) >= best


@quick
@given(st.integers(1, 3000), st.floats(0.55, 0.999))
def test_learning_never_slows(pieces: int, rate: float) -> None:
    """A longer run takes longer in all and less for one; the unit form lies above the average form (definition)."""
    unit = learning.learned_pieces(pieces, rate, "unit")
    average = learning.learned_pieces(pieces, rate, "cumulative average")
    assert average <= unit * (1 + 1e-12) <= pieces * (1 + 1e-12)
    assert learning.learned_pieces(pieces + 1, rate, "unit") > unit


@settings(deadline=None, max_examples=40)
@given(st.integers(1, 400), st.floats(0.005, 0.5), st.floats(0.5, 0.99))
def test_zero_acceptance_sample_is_the_smallest(lot: int, share: float, confidence: float) -> None:
    """One piece fewer would not be enough (definition); never above the lot."""
    sample = sampling.zero_acceptance_sample(lot, share, confidence)
    bad = sampling.bad_pieces(lot, share)
    assert 1 <= sample <= lot
    assert sampling.none_found(lot, bad, sample) <= 1 - confidence + 1e-9
    assert sample == 1 or sampling.none_found(lot, bad, sample - 1) > 1 - confidence


def test_a_large_lot_comes_near_to_the_stream() -> None:
    """95 % and 1 %: 299 of a stream (published.json, c0-1), a little less of 100 000 (nature of the two)."""
    assert 290 <= sampling.zero_acceptance_sample(100_000, 0.01, 0.95) <= 299


@pytest.mark.parametrize("level", ["I", "II", "III", "S-1", "S-2", "S-3", "S-4"])
def test_code_letters_of_every_level_rise(level: str) -> None:
    """Every level has fifteen ranges of lots and its letters never fall (the chart's own order)."""
    letters = [sampling.code_letter(lot, level) for lot in sampling.LOT_FROM]  # type: ignore[arg-type]
    assert letters == sorted(letters, key=lambda x: str(x))
    assert len(sampling.CODE_LETTERS[level]) == 15
    assert sampling.code_letter(1, level) is None  # type: ignore[arg-type]


def test_a_plan_accepts_what_is_as_good_as_its_quality() -> None:
    """At the acceptance quality at least 85 % of lots pass; worse lots pass less (design of the tables)."""
    for quality in sampling.ACCEPTANCE_QUALITIES:
        for lot in sampling.LOT_FROM:
            plan = sampling.single_normal_plan(lot, "II", quality)
            if plan.sample < lot:
                good = sampling.accepted_stream(plan.sample, plan.accept, quality / 100)
                assert good > 0.85
                assert sampling.accepted_stream(plan.sample, plan.accept, quality / 20) < good


@quick
@given(st.lists(st.floats(0, 100), min_size=1, max_size=8), st.floats(0, 1))
def test_spread_lies_between_independent_and_together(spreads: list[float], correlation: float) -> None:
    """Square root of the sum of squares, and the plain sum (variance of a sum)."""
    value = risk.sum_spread(spreads, correlation)
    assert math.sqrt(sum(s * s for s in spreads)) * (1 - 1e-9) <= value <= sum(spreads) * (1 + 1e-9)


def test_working_days_by_hand() -> None:
    """2031-03-03 is a Monday; five working days later it is the next Monday, with a holiday the Tuesday after."""
    monday = datetime.date(2031, 3, 3)
    assert days.add_working_days(monday, 5) == datetime.date(2031, 3, 10)
    assert days.add_working_days(monday, 5, {datetime.date(2031, 3, 5)}) == datetime.date(2031, 3, 11)
    assert days.add_working_days(monday, 0) == monday
    assert days.working_days_late(datetime.date(2031, 3, 7), datetime.date(2031, 3, 10)) == 1
    assert days.working_days_late(datetime.date(2031, 3, 10), monday) == 0


def test_next_size_up() -> None:
    """By hand: 10 in is enough for 254 mm; nothing is above the largest."""
    assert stock.next_size_up(254.0, "mm", [(10.0, "in"), (300.0, "mm")]) == 254.0
    assert stock.next_size_up(254.1, "mm", [(10.0, "in"), (300.0, "mm")]) == 300.0
    assert stock.next_size_up(12.0, "in", [(10.0, "in")]) is None
