"""Numbers and values out of the arguments of aggregating functions."""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.engine.arrays import Array, Operand
from quotebook.engine.convert import CellError, number
from quotebook.values import ErrorValue, Value


def numbers(arguments: tuple[Operand, ...]) -> list[float]:
    """Return the numbers among arguments: in references and arrays only true numbers, written scalars converted.

    Errors: the first error value met.
    """
    found: list[float] = []
    for argument in arguments:
        if isinstance(argument, Array):
            found.extend(array_numbers(argument))
        else:
            found.append(number(argument))
    return found


def array_numbers(array: Array) -> list[float]:
    """Return the numbers of one rectangle, row by row; kept with it, since many formulas share a range."""
    if array.numbers is None:
        found = [value for value in array.flat if type(value) is float]
        if len(found) != len(array.flat):
            for value in array.flat:
                if isinstance(value, ErrorValue):
                    raise CellError(value)
        array.numbers = found
    return array.numbers


def values(arguments: tuple[Operand, ...]) -> Iterator[tuple[Value, bool]]:
    """Yield every value with whether it comes from a reference or array."""
    for argument in arguments:
        if isinstance(argument, Array):
            for value in argument.flat:
                yield value, True
        else:
            yield argument, False
