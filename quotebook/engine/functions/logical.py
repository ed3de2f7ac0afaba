"""AND, OR, NOT, XOR; the choosing functions are special forms."""

from __future__ import annotations

from quotebook.engine.arrays import Operand
from quotebook.engine.convert import CellError, truth
from quotebook.engine.functions.gather import values
from quotebook.engine.registry import function
from quotebook.values import ErrorValue


def _truths(arguments: tuple[Operand, ...]) -> list[bool]:
    """Return the logicals of arguments: text and blanks in references do not count; nothing at all is #VALUE!."""
    found: list[bool] = []
    for value, held in values(arguments):
        if isinstance(value, ErrorValue):
            raise CellError(value)
        if not held or isinstance(value, bool | float):
            found.append(truth(value))
    if not found:
        raise CellError(ErrorValue.VALUE)
    return found


@function("AND", "a (a)*", "b")
def all_true(*arguments: Operand) -> bool:
    """Return whether all are true."""
    return all(_truths(arguments))


@function("OR", "a (a)*", "b")
def any_true(*arguments: Operand) -> bool:
    """Return whether any is true."""
    return any(_truths(arguments))


@function("XOR", "a (a)*", "b")
def odd_true(*arguments: Operand) -> bool:
    """Return whether an odd number of them is true."""
    return sum(_truths(arguments)) % 2 == 1


@function("NOT", "b", "b")
def negated(value: bool) -> bool:
    """Return the opposite."""
    return not value


@function("TRUE", "", "b")
def true() -> bool:
    """Return TRUE."""
    return True


@function("FALSE", "", "b")
def false() -> bool:
    """Return FALSE."""
    return False
