"""What kind of value a cell holds."""

from __future__ import annotations

import math

from quotebook.engine.arrays import Array, Operand
from quotebook.engine.convert import CellError
from quotebook.engine.registry import function
from quotebook.values import ErrorValue, Value

_ERROR_NUMBERS = {error: float(place) for place, error in enumerate(ErrorValue, start=1)}


@function("ISBLANK", "e", "b")
def is_blank(value: Value) -> bool:
    """Return whether a cell holds nothing; an empty text is something."""
    return value is None


@function("ISNUMBER", "e", "b")
def is_number(value: Value) -> bool:
    """Return whether it is a number."""
    return type(value) is float


@function("ISTEXT", "e", "b")
def is_text(value: Value) -> bool:
    """Return whether it is text."""
    return isinstance(value, str)


@function("ISNONTEXT", "e", "b")
def is_no_text(value: Value) -> bool:
    """Return whether it is anything but text."""
    return not isinstance(value, str)


@function("ISLOGICAL", "e", "b")
def is_logical(value: Value) -> bool:
    """Return whether it is TRUE or FALSE."""
    return isinstance(value, bool)


@function("ISERROR", "e", "b")
def is_error(value: Value) -> bool:
    """Return whether it is any error."""
    return isinstance(value, ErrorValue)


@function("ISERR", "e", "b")
def is_other_error(value: Value) -> bool:
    """Return whether it is an error other than #N/A."""
    return isinstance(value, ErrorValue) and value is not ErrorValue.NA


@function("ISNA", "e", "b")
def is_not_available(value: Value) -> bool:
    """Return whether it is #N/A."""
    return value is ErrorValue.NA


@function("ISEVEN", "n", "b")
def is_even(value: float) -> bool:
    """Return whether the whole part is even."""
    return math.trunc(value) % 2 == 0


@function("ISODD", "n", "b")
def is_odd(value: float) -> bool:
    """Return whether the whole part is odd."""
    return math.trunc(value) % 2 == 1


@function("N", "v", "n")
def as_number(value: Value) -> float:
    """Return numbers as they are, logicals as 1 and 0, everything else as 0."""
    if isinstance(value, bool):
        return 1.0 if value else 0.0
    return value if isinstance(value, float) else 0.0


@function("ERROR.TYPE", "e", "n")
def error_type(value: Value) -> float:
    """Return the number of an error: #NULL! 1 to #N/A 7; #N/A for anything else."""
    if isinstance(value, ErrorValue):
        return _ERROR_NUMBERS[value]
    raise CellError(ErrorValue.NA)


@function("TYPE", "x", "n")
def type_number(value: Operand) -> float:
    """Return the number of a kind: number 1, text 2, logical 4, error 16, several values 64."""
    if isinstance(value, Array):
        if len(value.flat) != 1:
            return 64.0
        value = value.flat[0]
    if isinstance(value, ErrorValue):
        return 16.0
    if isinstance(value, bool):
        return 4.0
    return 2.0 if isinstance(value, str) else 1.0
