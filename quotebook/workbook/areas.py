"""Cell addresses and rectangular areas as a file writes them (A1 notation)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from quotebook.values import column_letters, column_number

LAST_ROW = 1_048_576
LAST_COLUMN = 16_384

_CELL = re.compile(r"\$?([A-Za-z]{1,3})\$?([0-9]{1,7})\Z")

column_of = lru_cache(maxsize=LAST_COLUMN)(column_number)


class Area(NamedTuple):
    """A rectangle of cells; rows and columns counted from 1, both ends inside."""

    first_row: int
    first_column: int
    last_row: int
    last_column: int

    @property
    def size(self) -> int:
        """Return the number of cells."""
        return (self.last_row - self.first_row + 1) * (self.last_column - self.first_column + 1)

    def holds(self, row: int, column: int) -> bool:
        """Tell whether a cell lies inside."""
        return self.first_row <= row <= self.last_row and self.first_column <= column <= self.last_column

    def keys_in(self, cells: Mapping[tuple[int, int], object]) -> Iterator[tuple[int, int]]:
        """Yield the keys of ``cells`` that lie inside, whichever way of looking is shorter."""
        if self.size <= len(cells):
            for row in range(self.first_row, self.last_row + 1):
                for column in range(self.first_column, self.last_column + 1):
                    if (row, column) in cells:
                        yield row, column
        else:
            yield from (key for key in cells if self.holds(*key))


def parse_cell(text: str) -> tuple[int, int] | None:
    """Return (row, column) of an address such as B7 or $B$7, or None if it is none on a sheet."""
    match = _CELL.match(text)
    if match is None:
        return None
    column, row = column_of(match[1]), int(match[2])
    return (row, column) if 1 <= row <= LAST_ROW and column <= LAST_COLUMN else None


def parse_area(text: str) -> Area | None:
    """Return the area of a range such as A1:C3 or of a single cell, or None if it is neither."""
    first, _, last = text.partition(":")
    start = parse_cell(first)
    end = parse_cell(last) if last else start
    if start is None or end is None:
        return None
    rows, columns = sorted((start[0], end[0])), sorted((start[1], end[1]))
    return Area(rows[0], columns[0], rows[1], columns[1])


def cell_name(row: int, column: int) -> str:
    """Return the address of a cell without its sheet, such as B7."""
    return f"{column_letters(column)}{row}"


def split_place(text: str) -> tuple[str, str]:
    """Return sheet title and cell of a place as ``'Bob''s steps'!C3``; the title is "" where none is said."""
    title, _, cell = text.rpartition("!")
    return title.strip().removeprefix("'").removesuffix("'").replace("''", "'"), cell.strip()
