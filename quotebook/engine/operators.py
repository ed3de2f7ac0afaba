"""The operators of formulas on scalars, and their spreading over arrays.

Additions and subtractions whose result is nothing but binary noise give 0, and comparisons look at 15 digits, as
spreadsheet programs do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from itertools import repeat
from typing import Any

from quotebook.engine.arrays import Array, Operand
from quotebook.engine.convert import LARGEST, CellError, number, text
from quotebook.values import ErrorValue, Value

#: A sum this much smaller than its terms is taken for 0: 2^-48, the bound that LibreOffice uses (rtl approxSub).
NOISE = 2.0**-48


def add(left: Operand, right: Operand) -> float:
    """Return left + right."""
    a = left if type(left) is float else number(left)
    b = right if type(right) is float else number(right)
    result = a + b
    if abs(result) <= abs(a) * NOISE and b:
        return 0.0
    if -LARGEST <= result <= LARGEST:
        return result
    raise CellError(ErrorValue.NUM)


def subtract(left: Operand, right: Operand) -> float:
    """Return left - right."""
    a = left if type(left) is float else number(left)
    b = right if type(right) is float else number(right)
    result = a - b
    if abs(result) <= abs(a) * NOISE and b:
        return 0.0
    if -LARGEST <= result <= LARGEST:
        return result
    raise CellError(ErrorValue.NUM)


def multiply(left: Operand, right: Operand) -> float:
    """Return left times right."""
    a = left if type(left) is float else number(left)
    result = a * (right if type(right) is float else number(right))
    if -LARGEST <= result <= LARGEST:
        return result
    raise CellError(ErrorValue.NUM)


def divide(left: Operand, right: Operand) -> float:
    """Return left divided by right; #DIV/0! for a divisor of 0."""
    a = left if type(left) is float else number(left)
    b = right if type(right) is float else number(right)
    if not b:
        raise CellError(ErrorValue.DIV0)
    result = a / b
    if -LARGEST <= result <= LARGEST:
        return result
    raise CellError(ErrorValue.NUM)


def power(left: Operand, right: Operand) -> float:
    """Return left to the power of right; 0^0 is #NUM!, 0 to a negative power #DIV/0!."""
    a, b = number(left), number(right)
    if a == 0.0:
        if b < 0:
            raise CellError(ErrorValue.DIV0)
        if b == 0:
            raise CellError(ErrorValue.NUM)
    try:
        result = a**b
    except OverflowError:
        raise CellError(ErrorValue.NUM) from None
    if isinstance(result, complex):
        raise CellError(ErrorValue.NUM)
    return float(result)


def negate(value: Operand) -> float:
    """Return the number with its sign turned; never minus zero."""
    return 0.0 - number(value)


def percent(value: Operand) -> float:
    """Return a hundredth of the number."""
    return number(value) / 100


def plus(value: Operand) -> Value:
    """Return the value itself: a leading plus converts nothing."""
    if isinstance(value, ErrorValue):
        raise CellError(value)
    if isinstance(value, Array):
        raise CellError(ErrorValue.VALUE)
    return value


def join(*parts: Operand) -> str:
    """Return the parts as one text."""
    return "".join([part if type(part) is str else text(part) for part in parts])


def chain(operators: str, *terms: Operand) -> float:
    """Return terms added and subtracted from left to right; ``operators`` holds one sign for each but the first."""
    result: Operand = terms[0]
    for operator, term in zip(operators, terms[1:], strict=True):
        result = add(result, term) if operator == "+" else subtract(result, term)
    assert type(result) is float, "a chain has at least two terms"
    return result


def order(left: Operand, right: Operand) -> int:
    """Return -1, 0 or 1: numbers come before text, text before logicals; text without regard to capitals.

    A blank equals 0, an empty text and FALSE.
    """
    if type(left) is float and type(right) is float:
        return _order_numbers(left, right)
    for value in (left, right):
        if isinstance(value, ErrorValue):
            raise CellError(value)
        if isinstance(value, Array):
            raise CellError(ErrorValue.VALUE)
    if left is None:
        left = _blank_like(right)
    if right is None:
        right = _blank_like(left)
    left_rank, right_rank = _rank(left), _rank(right)
    if left_rank != right_rank:
        return -1 if left_rank < right_rank else 1
    if isinstance(left, str) and isinstance(right, str):
        a, b = left.casefold(), right.casefold()
        return (a > b) - (a < b)
    if isinstance(left, bool) and isinstance(right, bool):
        return int(left) - int(right)
    return _order_numbers(number(left), number(right))


def _order_numbers(a: float, b: float) -> int:
    if a == b:
        return 0
    if abs(a - b) < abs(a) * 1e-13 and f"{a:.15g}" == f"{b:.15g}":
        return 0
    return -1 if a < b else 1


def _blank_like(other: Operand) -> Value:
    if isinstance(other, str):
        return ""
    if isinstance(other, bool):
        return False
    return 0.0


def _rank(value: Operand) -> int:
    if isinstance(value, bool):
        return 2
    return 1 if isinstance(value, str) else 0


def equal(left: Operand, right: Operand) -> bool:
    """Return whether both are the same to a spreadsheet program."""
    if type(left) is str:
        left, right = right, left
    if type(right) is str:  # the commonest questions by far: is this blank, is it that word
        if type(left) is str:
            return left == right or left.casefold() == right.casefold()
        if type(left) is float:
            return False
        if left is None:
            return not right
    return order(left, right) == 0


def unequal(left: Operand, right: Operand) -> bool:
    """Return whether both differ."""
    return not equal(left, right)


def less(left: Operand, right: Operand) -> bool:
    """Return whether left comes before right."""
    return order(left, right) < 0


def greater(left: Operand, right: Operand) -> bool:
    """Return whether left comes after right."""
    return order(left, right) > 0


def at_most(left: Operand, right: Operand) -> bool:
    """Return whether left does not come after right."""
    return order(left, right) <= 0


def at_least(left: Operand, right: Operand) -> bool:
    """Return whether left does not come before right."""
    return order(left, right) >= 0


def lift2(function: Callable[..., Any], left: Operand, right: Operand) -> Operand:
    """Apply an operator over arrays; the common shapes go a shorter way than ``lift``."""
    try:
        if isinstance(left, Array):
            if not isinstance(right, Array):
                return Array(left.height, left.width, [function(each, right) for each in left.flat])
            if (left.height, left.width) == (right.height, right.width):
                return Array(left.height, left.width, list(map(function, left.flat, right.flat)))
        elif isinstance(right, Array):
            return Array(right.height, right.width, [function(left, each) for each in right.flat])
    except CellError:
        pass  # some place is an error: once more, with care
    return lift(function, "..", left, right)


def lift(function: Callable[..., Any], spread: str, *arguments: Operand) -> Operand:
    """Call a scalar function once for each place of its array arguments.

    ``spread`` holds one character for each argument: "." spreads over an array's places, "x" passes it whole. A single
    row or column is repeated; places that one array lacks give #N/A. Errors become values of the result.
    """
    spreads = (spread + spread[-1] * len(arguments))[: len(arguments)]
    shaped = [a for a, s in zip(arguments, spreads, strict=True) if s == "." and isinstance(a, Array)]
    if not shaped:
        result: Operand = function(*arguments)
        return result
    height, width = max(a.height for a in shaped), max(a.width for a in shaped)
    spread_out = partial(_columns, arguments, spreads, height, width)
    try:
        return Array(height, width, list(map(function, *spread_out())))
    except CellError:
        pass  # some place is an error: once more, with care
    flat: list[Value] = []
    for values in zip(*spread_out(), strict=True):
        try:
            flat.append(function(*values))
        except CellError as error:
            flat.append(error.value)
    return Array(height, width, flat)


def _columns(arguments: tuple[Operand, ...], spreads: str, height: int, width: int) -> list[Iterable[Operand]]:
    size = height * width
    return [_spread(a, height, width) if s == "." else repeat(a, size) for a, s in zip(arguments, spreads, strict=True)]


def _spread(value: Operand, height: int, width: int) -> Iterable[Operand]:
    if not isinstance(value, Array):
        return repeat(value, height * width)
    if (value.height, value.width) == (height, width):
        return value.flat
    return [place(value, row, column) for row in range(height) for column in range(width)]


def place(array: Array, row: int, column: int) -> Value:
    """Return one place of an array spread over a larger rectangle, rows and columns from 0; #N/A outside."""
    row = 0 if array.height == 1 else row
    column = 0 if array.width == 1 else column
    if row >= array.height or column >= array.width:
        return ErrorValue.NA
    return array.flat[row * array.width + column]
