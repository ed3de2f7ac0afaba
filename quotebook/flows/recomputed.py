"""What recomputing a workbook tells: prices, what disagrees, what is unknown, and how much was looked at."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from quotebook.values import Value

SCHEMA = 1


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two of the answers differ. ``between`` says which two; values are None where nothing was stored or known."""

    between: Literal["stored and recomputed", "recomputed and reference", "recomputed and witness"]
    cell: str
    field: str
    stored: Value
    recomputed: Value
    reference: Value
    reason: str


@dataclass(frozen=True, slots=True)
class Unknown:
    """A cell or a field whose value could not be told, and why."""

    cell: str
    field: str
    formula: str
    reason: str


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One line of the price table as recomputed; None is unknown."""

    quantity: float | None
    unit_price: float | None
    extended_price: float | None
    nonrecurring: float | None
    cost: float | None
    margin: float | None


@dataclass(slots=True)
class Recomputed:
    """The result for one file. ``error`` is set, and everything else empty, when it could not be read.

    ``statuses``: how many formula cells there are of each status, and how many inputs are numbers stored as text.
    """

    file: str
    error: str | None = None
    has_contract: bool = False
    formulas: int = 0
    evaluated: int = 0
    compared_stored: int = 0
    compared_reference: int = 0
    prices: list[PriceRow] = field(default_factory=list)
    first_piece: float | None = None
    next_piece: float | None = None
    repeat_order: list[dict[str, float | None]] = field(default_factory=list)
    disagreements: list[Disagreement] = field(default_factory=list)
    unknown: list[Unknown] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    statuses: dict[str, int] = field(default_factory=dict)
    part: str = ""
    currency: str = ""
    decimals: int = 2

    @property
    def agree(self) -> bool | None:
        """True when everything that could be judged agrees and nothing is unknown; None when something is unknown."""
        if self.error is not None:
            return None
        if self.disagreements:
            return False
        return None if self.unknown else True
