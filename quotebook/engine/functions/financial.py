"""Payments and their worth: what tools, fixtures and machines on credit cost a month."""

from __future__ import annotations

import math

from quotebook.engine.arrays import Operand
from quotebook.engine.convert import CellError, checked
from quotebook.engine.functions.gather import numbers
from quotebook.engine.functions.math import add_up
from quotebook.engine.operators import divide, power
from quotebook.engine.registry import function
from quotebook.values import ErrorValue

# All solve one equation, money paid out being negative:
#   present (1 + rate)^n + payment (1 + rate due) ((1 + rate)^n - 1) / rate + future = 0
# Source: the published description of these functions.


def _growth(rate: float, periods: float) -> float:
    if rate <= -1:
        raise CellError(ErrorValue.NUM)
    return power(1 + rate, periods)


def _series(rate: float, periods: float, due: float) -> float:
    """Return what one unit paid in every period has grown to at the end."""
    if not rate:
        return periods
    return (1 + rate * (1.0 if due else 0.0)) * (_growth(rate, periods) - 1) / rate


@function("PMT", "n n n [n n]", "n")
def payment(rate: float, periods: float, present: float, future: float = 0.0, due: float = 0.0) -> float:
    """Return the payment of each period."""
    if not periods:
        raise CellError(ErrorValue.NUM)
    return checked(-divide(present * _growth(rate, periods) + future, _series(rate, periods, due)))


@function("FV", "n n n [n n]", "n")
def future_value(rate: float, periods: float, paid: float, present: float = 0.0, due: float = 0.0) -> float:
    """Return what payments are worth at the end."""
    return checked(-(present * _growth(rate, periods) + paid * _series(rate, periods, due)) + 0.0)


@function("PV", "n n n [n n]", "n")
def present_value(rate: float, periods: float, paid: float, future: float = 0.0, due: float = 0.0) -> float:
    """Return what payments are worth now."""
    return checked(-divide(paid * _series(rate, periods, due) + future, _growth(rate, periods)) + 0.0)


@function("NPER", "n n n [n n]", "n")
def number_of_periods(rate: float, paid: float, present: float, future: float = 0.0, due: float = 0.0) -> float:
    """Return after how many periods payments have done their work; #NUM! for never."""
    if not rate:
        return divide(-(present + future), paid)
    if rate <= -1:
        raise CellError(ErrorValue.NUM)
    step = paid * (1 + rate * (1.0 if due else 0.0)) / rate
    share = divide(step - future, step + present)
    if share <= 0:
        raise CellError(ErrorValue.NUM)
    return math.log(share) / math.log(1 + rate)


@function("NPV", "n a (a)*", "n")
def net_present_value(rate: float, *payments: Operand) -> float:
    """Return what payments at the ends of periods are worth now."""
    found = numbers(payments)
    return add_up([divide(each, _growth(rate, float(place))) for place, each in enumerate(found, start=1)])
