"""What the engine is given and what it gives back: formulas and inputs in, results or reasons out.

The engine never receives stored results of formulas, so it cannot echo them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from operator import attrgetter

from quotebook.values import Address, Value


@dataclass(frozen=True, slots=True)
class TableRange:
    """A table that formulas may refer to: sheet, first and last row and column of the whole table, headings."""

    name: str
    sheet: str
    first_row: int
    first_column: int
    last_row: int
    last_column: int
    columns: tuple[str, ...]
    header_rows: int = 1
    totals_rows: int = 0


@dataclass(frozen=True, slots=True)
class FormulaBook:
    """A workbook as the engine sees it.

    ``sheets``: titles in order. ``formulas``: text without the equals sign. ``inputs``: constants of every
    cell that holds no formula. ``names``: (sheet title or None for the workbook, name) to the text it stands for.
    ``arrays``: first cell of an array formula to its last cell. ``opaque``: cells that cannot be read as formula or
    constant, with the reason. ``hidden_rows``: by sheet title; only SUBTOTAL looks at them.
    """

    sheets: tuple[str, ...]
    formulas: Mapping[Address, str]
    inputs: Mapping[Address, Value]
    names: Mapping[tuple[str | None, str], str] = field(default_factory=dict)
    tables: tuple[TableRange, ...] = ()
    arrays: Mapping[Address, Address] = field(default_factory=dict)
    opaque: Mapping[Address, str] = field(default_factory=dict)
    date1904: bool = False
    hidden_rows: Mapping[str, frozenset[int]] = field(default_factory=dict)


class Status(Enum):
    """Whether a formula cell's result is known."""

    EVALUATED = "evaluated"
    NOT_EVALUATED = "not evaluated"
    DEPENDS_ON_NOT_EVALUATED = "depends on a cell that was not evaluated"


@dataclass(frozen=True, slots=True)
class Result:
    """The engine's answer for one formula cell. ``value`` means nothing unless ``status`` is EVALUATED.

    ``reason`` names what could not be done; for a dependent cell it names the root cell. ``volatile`` marks results
    that change with the day or at random.
    """

    status: Status
    value: Value = None
    reason: str = ""
    volatile: bool = False


@dataclass(frozen=True, slots=True)
class Evaluation:
    """Results for every formula cell of a book, none left out. ``engine`` names who answered."""

    results: Mapping[Address, Result]
    engine: str = "quotebook"

    @property
    def evaluated(self) -> int:
        """Return how many formula cells have a known result."""
        return list(map(attrgetter("status"), self.results.values())).count(Status.EVALUATED)
