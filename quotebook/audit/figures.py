"""Figures written in formulas, apart from those that every formula may hold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from quotebook.audit.grid import Grid
from quotebook.audit.written import Part, parts
from quotebook.engine import syntax as s
from quotebook.values import Address

#: Conversions and counts that mean the same everywhere: minutes, seconds, inches, grams, metres, percent, weeks,
#: pounds in a kilogram, pi and its parts.
_EVERYWHERE = frozenset(
    {
        0.0, 1.0, 2.0, 3.0, 4.0, 10.0, 12.0, 24.0, 60.0, 100.0, 1000.0, 3600.0, 10000.0, 1e6, 1e9, 25.4, 2.54,
        16387.064, 0.5, 0.25, 0.01, 0.001, 1e-6, 0.453592, 0.45359237, 2.20462, 2.2046, 2.205, 3.14, 3.1416, 3.14159,
        3.141593, 3.14159265, 0.7854, 0.785398, 0.785, 144.0, 1728.0, 7.0, 365.0, 52.0, 1440.0, 86400.0, 28.35,
    }
)  # fmt: skip
_PLACES = {
    "ROUND": 1, "ROUNDUP": 1, "ROUNDDOWN": 1, "TRUNC": 1, "CEILING": 1, "FLOOR": 1, "MROUND": 1, "VLOOKUP": 2,
    "HLOOKUP": 2, "INDEX": 1, "MATCH": 2, "SUBTOTAL": 0, "AGGREGATE": 0, "CHOOSE": 0, "LEFT": 1, "RIGHT": 1, "MID": 1,
    "OFFSET": 1, "LARGE": 1, "SMALL": 1, "DATE": 0, "TEXT": 1,
}  # fmt: skip
_WITHOUT_FIGURES = frozenset({"DATE", "CHOOSE", "OFFSET", "INDEX", "MID", "SUBTOTAL", "AGGREGATE", "XLOOKUP"})


class Figure(NamedTuple):
    """A number written in a formula; ``common``: it may stand in any formula without being a rate or a price."""

    cell: Address
    number: float
    common: bool
    compared: bool


def buried(grid: Grid) -> Iterator[Figure]:
    """Yield every number written in a formula that calculates with it, each once for a formula."""
    for cell, tree in grid.trees.items():
        seen: set[float] = set()
        for part in parts(tree):
            if not isinstance(part.node, s.Number) or part.node.value in seen or _technical(part):
                continue
            seen.add(part.node.value)
            number = part.node.value
            yield Figure(cell, number, is_common(number), _compared(part))


def is_common(number: float) -> bool:
    """Tell whether a number is a conversion or a count rather than a rate or a price."""
    return number in _EVERYWHERE or (number > 0 and round(1 / number, 9) in _EVERYWHERE)


def _technical(part: Part) -> bool:
    """Tell whether a number counts places or columns, or is only an exponent."""
    if any(isinstance(each, s.Call) and each.name in _WITHOUT_FIGURES for each in part.around):
        return True
    over: s.Node | None = part.around[-1] if part.around else None
    if isinstance(over, s.Unary) and len(part.around) > 1:
        over = part.around[-2]
    if isinstance(over, s.Call) and over.name in _PLACES:
        return part.node in over.arguments[_PLACES[over.name] :]
    return isinstance(over, s.Binary) and over.operator == "^" and over.right == part.node


def _compared(part: Part) -> bool:
    over = part.around[-1] if part.around else None
    return isinstance(over, s.Binary) and over.operator in ("=", "<>", "<", ">", "<=", ">=")
