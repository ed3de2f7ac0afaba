"""One formula on its way into a plan."""

from __future__ import annotations

from dataclasses import dataclass, field

from quotebook.values import Address


@dataclass(slots=True)
class Unit:
    """One formula: its source without places and the places, or the reason why there is none; what it reads.

    ``reaches``: it reads a part of its areas, which part being known only while it calculates.
    """

    cell: Address
    source: str = ""
    places: tuple[int, ...] = ()
    kind: str = "v"
    cells: set[Address] = field(default_factory=set)
    areas: set[int] = field(default_factory=set)
    volatile: bool = False
    trouble: str = ""
    reaches: bool = False
