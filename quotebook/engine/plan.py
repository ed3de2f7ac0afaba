"""A compiled book as plain data: templates, constants and steps; what the cache on disk holds.

Formulas that differ only in the cells they read share one template: a table of forty rows costs as much as one row.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from quotebook.engine.arrays import Array
from quotebook.engine.book import Result
from quotebook.values import Address, Value


class Area(NamedTuple):
    """A rectangle of one sheet; ``slots`` row by row, None when it is read openly, its used part only."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int
    slots: tuple[int, ...] | None


class Lifted(NamedTuple):
    """A function of the allow-list with the conversions of its arguments inside, called for each place of an array."""

    name: str
    kinds: tuple[str, ...]


class Template(NamedTuple):
    """An expression over ``v[a0]``, ``v[a1]``, ... and what it gives: "n", "t", "b", "v" or "a" as in ``emit``."""

    kind: str
    source: str


class Step(NamedTuple):
    """One thing to do: formula ``number`` by a template over places of the value list.

    A negative ``number`` reads an area, -1 the first. Places count from 1 for cells; areas stand at the end of the
    list, so the first area is place -1.
    """

    number: int
    template: int
    places: tuple[int, ...]


class Spread(NamedTuple):
    """Where an array formula puts its result: slots row by row, and their shape."""

    slots: tuple[int, ...]
    height: int
    width: int


#: What a template may name beside functions: places by number, or something that Python code must not hold.
Constant = Value | Array | Lifted | tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that running a book takes.

    ``slots[n]`` is the cell of slot n + 1. ``cells[n]`` are the cells that formula n fills. ``known`` gives, for areas
    read openly, the slots of formula cells inside by row and column. ``fixed`` holds results known before any run.
    ``precedents`` are nodes as in ``graph``.
    """

    slots: tuple[Address, ...]
    areas: tuple[Area, ...]
    known: Mapping[int, Mapping[tuple[int, int], int]]
    constants: Mapping[str, Constant]
    templates: tuple[Template, ...]
    steps: tuple[Step, ...]
    spreads: Mapping[int, Spread]
    cells: tuple[tuple[Address, ...], ...]
    result_slots: Mapping[int, int]
    fixed: Mapping[int, Result]
    volatile: frozenset[int]
    precedents: tuple[tuple[int, ...], ...]
    date1904: bool


_PLACE = re.compile(r"([vr])\[(\d+)\]")


@dataclass(slots=True)
class Templates:
    """Expressions with their places taken out, each kept once."""

    found: list[Template] = field(default_factory=list)
    _numbers: dict[Template, int] = field(default_factory=dict)

    def number(self, kind: str, source: str) -> int:
        """Return the number of the template of an expression without places."""
        template = Template(kind, source)
        number = self._numbers.get(template)
        if number is None:
            number = self._numbers[template] = len(self.found)
            self.found.append(template)
        return number


def places_out(source: str) -> tuple[str, tuple[int, ...]]:
    """Return an expression with its places taken out, and the places that it reads, in the order of the numbers."""
    places: dict[int, str] = {}

    def name(match: re.Match[str]) -> str:
        place = int(match[2]) if match[1] == "v" else -1 - int(match[2])
        return f"v[{places.setdefault(place, f'a{len(places)}')}]"

    return _PLACE.sub(name, source), tuple(places)
