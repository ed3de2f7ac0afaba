"""The words that stand for a cell: the label beside it and the heading above it, merged cells understood."""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

from quotebook.audit.grid import Grid
from quotebook.values import Address
from quotebook.workbook.areas import Area, parse_area

#: How far a label may stand from the cells that it names.
FARTHEST_LEFT = 14
FARTHEST_UP = 60
#: Blank cells that may lie between a heading and the column that it names.
MOST_BLANKS = 3


class Label(NamedTuple):
    """``beside``: the text to the left in the row; ``above``: the heading of the column; "" for none.

    ``after``: a text directly to the right, where a unit often stands.
    """

    beside: str
    above: str
    after: str = ""

    @property
    def words(self) -> str:
        """Return both texts in one, in small letters."""
        return f"{self.beside} {self.above}".strip().casefold()

    def __str__(self) -> str:
        return " / ".join(filter(None, (self.beside, self.above)))


class Labels:
    """Finds labels on the sheets of one workbook."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self._known: dict[Address, Label] = {}

    @cached_property
    def _merged(self) -> dict[str, list[Area]]:
        return {
            sheet.title: [area for area in map(parse_area, sheet.merged) if area is not None]
            for sheet in self.grid.snapshot.sheets
        }

    @cached_property
    def _covered(self) -> dict[Address, Address]:
        """The first cell of the merged area that covers each cell (areas of a sensible size only)."""
        found: dict[Address, Address] = {}
        for title, areas in self._merged.items():
            for area in areas:
                if area.size <= 500:
                    for row in range(area.first_row, area.last_row + 1):
                        for column in range(area.first_column, area.last_column + 1):
                            found[Address(title, row, column)] = Address(title, area.first_row, area.first_column)
        return found

    def of(self, cell: Address) -> Label:
        """Return the label of a cell."""
        known = self._known.get(cell)
        if known is None:
            known = self._known[cell] = Label(self._beside(cell), self._above(cell), self._after(cell))
        return known

    def is_label(self, cell: Address) -> bool:
        """Tell whether a cell holds a text that names others."""
        text = self.text(cell)
        return any(letter.isalpha() for letter in text)

    def text(self, cell: Address) -> str:
        """Return the text of a cell, that of the merged area if it is covered by one."""
        return self.grid.text(self._covered.get(cell, cell))

    def _beside(self, cell: Address) -> str:
        """Return the nearest text to the left; figures may stand between, as in a table."""
        for column in range(cell.column - 1, max(0, cell.column - FARTHEST_LEFT), -1):
            place = cell._replace(column=column)
            if self.is_label(place) and self._speaks_for(place, cell):
                return self.text(place)
        return ""

    def _speaks_for(self, place: Address, cell: Address) -> bool:
        """A merged heading over the whole width names no row."""
        first = self._covered.get(place)
        return first is None or first.row == cell.row

    def _above(self, cell: Address) -> str:
        """Return the nearest text above with only figures and a few blanks between."""
        blanks = 0
        for row in range(cell.row - 1, max(0, cell.row - FARTHEST_UP), -1):
            place = cell._replace(row=row)
            if self.is_label(place):
                return self._stacked(place)
            if self.grid.is_blank(self._covered.get(place, place)):
                blanks += 1
                if blanks > MOST_BLANKS:
                    return ""
        return ""

    def _stacked(self, place: Address) -> str:
        """Return a heading with a second heading line above it, as in "Setup" over "hours"."""
        text, upper = self.text(place), place._replace(row=place.row - 1)
        if place.row > 1 and upper not in self._covered and self.is_label(upper) and len(self.text(upper)) < 25:
            neighbours = (upper._replace(column=c) for c in (place.column - 1, place.column + 1) if c > 0)
            if any(self.is_label(each) for each in neighbours):
                return f"{self.text(upper)} {text}"
        return text

    def _after(self, cell: Address) -> str:
        text = self.text(cell._replace(column=cell.column + 1))
        return text if len(text) <= 12 else ""
