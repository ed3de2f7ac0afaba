"""Sums, products, powers, logarithms and angles."""

from __future__ import annotations

import math
from collections.abc import Sequence
from operator import mul

from quotebook.engine.arrays import Array, Operand, aligned
from quotebook.engine.convert import CellError, NotSupported, checked, number
from quotebook.engine.functions.gather import numbers
from quotebook.engine.operators import NOISE, divide, power
from quotebook.engine.registry import function
from quotebook.values import ErrorValue, Value


@function("SUM", "a (a)*", "n")
def total(*arguments: Operand) -> float:
    """Add numbers; text and logicals in references do not count."""
    return add_up(numbers(arguments))


def add_up(found: list[float]) -> float:
    """Return a sum that is 0 where only binary noise is left of its terms."""
    try:
        result = math.fsum(found)
    except (OverflowError, ValueError):  # beyond what a double holds, on the way or at the end
        raise CellError(ErrorValue.NUM) from None
    if result and abs(result) <= NOISE * max(map(abs, found)):
        return 0.0
    return checked(result)


@function("PRODUCT", "a (a)*", "n")
def product(*arguments: Operand) -> float:
    """Multiply numbers; without any the result is 0."""
    found = numbers(arguments)
    return checked(math.prod(found)) if found else 0.0


@function("SUMSQ", "a (a)*", "n")
def sum_of_squares(*arguments: Operand) -> float:
    """Add the squares of numbers."""
    return checked(math.fsum(value * value for value in numbers(arguments)))


@function("SUMPRODUCT", "A (A)*", "n")
def sum_of_products(*arguments: Operand) -> float:
    """Multiply arrays place by place and add; what is no number counts as 0, also logicals."""
    arrays = [a if isinstance(a, Array) else Array(1, 1, (a,)) for a in arguments]
    columns = aligned(arrays)
    if columns is None:
        raise CellError(ErrorValue.VALUE)
    factors = [_counted(column) for column in columns]
    terms = factors[0]
    for each in factors[1:]:
        terms = list(map(mul, terms, each))
    return add_up(terms)


def _counted(column: Sequence[Value]) -> list[float]:
    """Return the numbers of a column, 0 for what is none."""
    found = [value if type(value) is float else 0.0 for value in column]
    if 0.0 in found:
        for value in column:
            if isinstance(value, ErrorValue):
                raise CellError(value)
    return found


@function("ABS", "n", "n")
def absolute(value: float) -> float:
    """Return the number without its sign."""
    return abs(value)


@function("SIGN", "n", "n")
def sign(value: float) -> float:
    """Return -1, 0 or 1."""
    return float((value > 0) - (value < 0))


@function("SQRT", "n", "n")
def square_root(value: float) -> float:
    """Return the square root; #NUM! below 0."""
    if value < 0:
        raise CellError(ErrorValue.NUM)
    return math.sqrt(value)


@function("EXP", "n", "n")
def exponential(value: float) -> float:
    """Return e to the power."""
    try:
        return math.exp(value)
    except OverflowError:
        raise CellError(ErrorValue.NUM) from None


def _logarithm(value: float) -> float:
    if value <= 0:
        raise CellError(ErrorValue.NUM)
    return math.log(value)


@function("LN", "n", "n")
def natural_logarithm(value: float) -> float:
    """Return the natural logarithm."""
    return _logarithm(value)


@function("LOG10", "n", "n")
def decimal_logarithm(value: float) -> float:
    """Return the logarithm to base 10."""
    _logarithm(value)
    return math.log10(value)


@function("LOG", "n [n]", "n")
def logarithm(value: float, base: float = 10.0) -> float:
    """Return the logarithm to a base."""
    if base == 10.0:
        return decimal_logarithm(value)  # type: ignore[no-any-return]
    if base == 2.0 and value > 0:
        return math.log2(value)
    return divide(_logarithm(value), _logarithm(base))


@function("POWER", "n n", "n")
def to_the_power(base: float, exponent: float) -> float:
    """Return base ^ exponent."""
    return power(base, exponent)


@function("PI", "", "n")
def pi() -> float:
    """Return pi."""
    return math.pi


@function("MOD", "n n", "n")
def modulo(value: float, divisor: float) -> float:
    """Return the rest of a division, with the divisor's sign."""
    if divisor == 0:
        raise CellError(ErrorValue.DIV0)
    if abs(value / divisor) >= 1.125e15:  # larger quotients are #NUM! in spreadsheet programs; from memory
        raise CellError(ErrorValue.NUM)
    rest = math.fmod(value, divisor)
    if rest and (rest < 0) != (divisor < 0):
        rest += divisor
    # 0.3 mod 0.1 is 0.1 less binary noise: programs differ, and so does what a shop would expect.
    quotient = value / divisor
    if rest and quotient != round(quotient) and abs(quotient - round(quotient)) <= 1e-14 * abs(quotient):
        raise NotSupported(f"MOD of {value!r} and {divisor!r} depends on the last binary digit; programs differ")
    return rest


@function("QUOTIENT", "n n", "n")
def quotient(value: float, divisor: float) -> float:
    """Return the whole part of a division."""
    return float(math.trunc(divide(value, divisor)))


def _whole(value: Operand) -> int:
    result = math.trunc(number(value))
    if result < 0:
        raise CellError(ErrorValue.NUM)
    return result


@function("FACT", "n", "n")
def factorial(value: float) -> float:
    """Return the factorial of the whole part."""
    whole = _whole(value)
    if whole > 170:
        raise CellError(ErrorValue.NUM)
    return float(math.factorial(whole))


@function("COMBIN", "n n", "n")
def combinations(of: float, taken: float) -> float:
    """Return the number of ways to take some of many."""
    many, some = _whole(of), _whole(taken)
    if some > many or many > 100_000:
        raise CellError(ErrorValue.NUM)
    try:
        return float(math.comb(many, some))
    except OverflowError:
        raise CellError(ErrorValue.NUM) from None


@function("GCD", "a (a)*", "n")
def greatest_common_divisor(*arguments: Operand) -> float:
    """Return the greatest common divisor of whole parts."""
    return float(math.gcd(*[_whole(value) for value in numbers(arguments)]))


@function("LCM", "a (a)*", "n")
def least_common_multiple(*arguments: Operand) -> float:
    """Return the least common multiple of whole parts."""
    result = math.lcm(*[_whole(value) for value in numbers(arguments)])
    if result >= 2**53:
        raise CellError(ErrorValue.NUM)
    return float(result)


@function("SIN", "n", "n")
def sine(angle: float) -> float:
    """Return the sine of radians."""
    return math.sin(angle)


@function("COS", "n", "n")
def cosine(angle: float) -> float:
    """Return the cosine of radians."""
    return math.cos(angle)


@function("TAN", "n", "n")
def tangent(angle: float) -> float:
    """Return the tangent of radians."""
    return math.tan(angle)


@function("ASIN", "n", "n")
def arc_sine(value: float) -> float:
    """Return the angle whose sine is given."""
    if abs(value) > 1:
        raise CellError(ErrorValue.NUM)
    return math.asin(value)


@function("ACOS", "n", "n")
def arc_cosine(value: float) -> float:
    """Return the angle whose cosine is given."""
    if abs(value) > 1:
        raise CellError(ErrorValue.NUM)
    return math.acos(value)


@function("ATAN", "n", "n")
def arc_tangent(value: float) -> float:
    """Return the angle whose tangent is given."""
    return math.atan(value)


@function("ATAN2", "n n", "n")
def arc_tangent_of_point(x: float, y: float) -> float:
    """Return the angle of a point; x comes first, unlike in most programming languages."""
    if x == 0 and y == 0:
        raise CellError(ErrorValue.DIV0)
    return math.atan2(y, x)


@function("RADIANS", "n", "n")
def radians(degrees: float) -> float:
    """Return degrees as radians."""
    return math.radians(degrees)


@function("DEGREES", "n", "n")
def degrees(angle: float) -> float:
    """Return radians as degrees."""
    return math.degrees(angle)
