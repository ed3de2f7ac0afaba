"""Both families of units give the same physical answer, and the dimensions are right: pint does the sums.

Source of the expected values: the defining formula of each quantity, computed by pint from quantities with units.
"""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotebook.machining import holes, milling, power, speeds, stock, turning
from quotebook.machining.units import Units

ureg: pint.UnitRegistry = pint.UnitRegistry()
Q = ureg.Quantity
LENGTH = {"in": "inch", "mm": "mm"}
SPEED = {"in": "ft/min", "mm": "m/min"}
RATE = {"in": "inch/min", "mm": "mm/min"}
REMOVAL = {"in": "inch**3/min", "mm": "cm**3/min"}
POWER = {"in": "hp", "mm": "kW"}
TORQUE = {"in": "lbf*ft", "mm": "N*m"}
WEIGHT = {"in": "lb", "mm": "kg"}
families = st.sampled_from(["in", "mm"])
some = st.floats(0.05, 400)
PER_REV = ureg.turn


def close(value: float, quantity: pint.Quantity, unit: str) -> None:
    """``to`` raises where the dimensions are not those of the unit."""
    assert value == pytest.approx(quantity.to(unit).magnitude, rel=1e-9)


def spindle(v: float, d: float, units: Units) -> pint.Quantity:
    return Q(v, SPEED[units]) / (math.pi * Q(d, LENGTH[units]))


@settings(deadline=None, max_examples=40)
@given(families, some, some)
def test_spindle_and_surface_speed(units: Units, v: float, d: float) -> None:
    rpm = speeds.spindle_speed(v, d, units)
    close(rpm, spindle(v, d, units), "1/min")
    close(speeds.surface_speed(d, rpm, units), Q(v, SPEED[units]), SPEED[units])


@settings(deadline=None, max_examples=40)
@given(families, some, some, some)
def test_turning_and_facing_minutes(units: Units, d: float, v: float, length: float) -> None:
    feed = 0.01
    n = spindle(v, d, units)
    time = Q(length, LENGTH[units]) / (Q(feed, LENGTH[units]) * n)
    close(turning.turning_minutes(d, d, length, v, feed, 1.0, units), time, "min")
    # At constant surface speed the tool's path is the area over the feed.
    path = math.pi * (Q(d, LENGTH[units]) ** 2) / 4 / Q(feed, LENGTH[units])
    close(turning.facing_minutes(d, 0.0, v, feed, units), path / Q(v, SPEED[units]), "min")


@settings(deadline=None, max_examples=40)
@given(families, some, some, some)
def test_removal_rates(units: Units, a: float, b: float, rate: float) -> None:
    inch = Q(rate, RATE[units])
    close(milling.removal_rate(a, b, rate, units), Q(a, LENGTH[units]) * Q(b, LENGTH[units]) * inch, REMOVAL[units])
    hole = math.pi * Q(a, LENGTH[units]) ** 2 / 4 * inch
    close(holes.drilling_removal_rate(a, rate, units), hole, REMOVAL[units])
    turned = math.pi * Q(a, LENGTH[units]) * Q(b, LENGTH[units]) * inch
    close(turning.turning_removal_rate(a, b, rate, 1.0, units), turned, REMOVAL[units])


@settings(deadline=None, max_examples=40)
@given(families, some, st.floats(300, 5000), st.floats(10, 20000))
def test_power_and_torque(units: Units, removal: float, kc: float, rpm: float) -> None:
    needed = Q(removal, REMOVAL[units]) * Q(kc, "N/mm**2")
    watts = power.cutting_power(removal, kc, units)
    close(watts, needed, POWER[units])
    close(power.torque(watts, rpm, units), needed / (2 * math.pi * Q(rpm, "1/min")), TORQUE[units])


@settings(deadline=None, max_examples=40)
@given(families, some, st.floats(0.5, 20))
def test_weights(units: Units, size: float, density: float) -> None:
    volume = Q(stock.round_area(size) * 10, f"{LENGTH[units]}**3")
    close(stock.weight(stock.round_area(size) * 10, density, units), volume * Q(density, "g/cm**3"), WEIGHT[units])


def test_force_and_torque_of_a_drill_come_from_the_same_power() -> None:
    """N.m of f kc D^2 / 8000 is the drilling power over the speed; source: geometry, pint."""
    d, f, kc, rpm = 12.0, 0.2, 2000.0, 900.0
    watts = Q(holes.drilling_removal_rate(d, f * rpm, "mm"), "cm**3/min") * Q(kc, "N/mm**2")
    close(holes.drilling_torque(d, f, kc), watts / (2 * math.pi * Q(rpm, "1/min")), "N*m")
