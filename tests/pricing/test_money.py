"""The rounding rule."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotebook.pricing import ceil_guarded, floor_guarded, round_half_away, round_up_to_step
from quotebook.pricing.money import product, total


@pytest.mark.parametrize(
    ("value", "decimals", "rounded"),
    # By hand. 1.005 and 2.675 lie below the half as binary numbers; on 15 digits they are halves.
    [
        (1.005, 2, 1.01),
        (2.675, 2, 2.68),
        (-2.5, 0, -3.0),
        (2.5, 0, 3.0),
        (1.4999999999, 0, 1.0),
        (0.1 + 0.2, 2, 0.3),
        (1e18, 2, 1e18),
        (0.0, 4, 0.0),
        (-0.001, 2, 0.0),
    ],
)
def test_halves_go_away_from_zero_as_a_sheet_rounds_them(value: float, decimals: int, rounded: float) -> None:
    assert round_half_away(value, decimals) == rounded


@pytest.mark.parametrize(
    ("value", "up", "down"),
    # By hand: within half a millionth of a whole number counts as that number.
    [(3.0000004, 3, 3), (3.0000006, 4, 3), (2.9999996, 3, 3), (2.9999994, 3, 2), (100 * 1.1 / 10, 11, 11), (0.0, 0, 0)],
)
def test_whole_number_steps_are_guarded_against_float_noise(value: float, up: int, down: int) -> None:
    assert (ceil_guarded(value), floor_guarded(value)) == (up, down)


@pytest.mark.parametrize(
    ("amount", "step", "stepped"),
    # By hand.
    [
        (106.72, 1.0, 107.0),
        (16.000000000000004, 1.0, 16.0),
        (27.683178, 0.05, 27.7),
        (12.34, 0.0, 12.34),
        (0, 5.0, 0),
        (17.71875, 0.01, 17.72),
        (0.07, 0.01, 0.07),
    ],
)
def test_amounts_go_up_to_the_next_step(amount: float, step: float, stepped: float) -> None:
    assert round_up_to_step(amount, step) == stepped


@given(st.floats(0, 1e7), st.sampled_from([0.01, 0.05, 0.25, 1.0, 5.0]))
def test_a_step_never_takes_more_than_noise_away_and_never_adds_a_whole_step(amount: float, step: float) -> None:
    stepped = round_up_to_step(amount, step)
    assert amount - 1e-6 * step - 1e-9 <= stepped < amount + step + 1e-6


@given(st.floats(-1e12, 1e12), st.floats(-1e12, 1e12), st.integers(0, 4))
def test_rounding_keeps_the_order_of_amounts(one: float, other: float, decimals: int) -> None:
    low, high = sorted([one, other])
    assert round_half_away(low, decimals) <= round_half_away(high, decimals)


def test_unknown_stays_unknown_and_is_never_zero() -> None:
    assert total([1.0, None, 2.0]) is None
    assert total([]) == 0.0
    assert product(3.0, None) is None
    assert product(None, 0.0) is None
