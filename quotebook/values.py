"""The values that a spreadsheet cell can hold, and addresses of cells.

Blank, number, text, logical and error are kept apart as separate types, because spreadsheet
functions treat each in its own way.
"""

from __future__ import annotations

from enum import Enum
from functools import lru_cache
from typing import NamedTuple


class ErrorValue(Enum):
    """An error result as a spreadsheet program shows it."""

    NULL = "#NULL!"
    DIV0 = "#DIV/0!"
    VALUE = "#VALUE!"
    REF = "#REF!"
    NAME = "#NAME?"
    NUM = "#NUM!"
    NA = "#N/A"

    def __str__(self) -> str:
        return self.value


#: What a cell holds: a number (always float), text, a logical, an error, or nothing.
Value = float | str | bool | ErrorValue | None


class Address(NamedTuple):
    """A cell: sheet title, row and column counted from 1."""

    sheet: str
    row: int
    column: int

    def __str__(self) -> str:
        title = self.sheet if self.sheet.replace("_", "").isalnum() else f"'{self.sheet}'"
        return f"{title}!{column_letters(self.column)}{self.row}"


@lru_cache(maxsize=1024)
def column_letters(column: int) -> str:
    """Return the letters of a column counted from 1: 1 is A, 27 is AA, 16384 is XFD."""
    if column < 1:
        raise ValueError(f"column is {column}; columns are counted from 1")
    letters = ""
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """Return the number of a column given by letters: A is 1, AA is 27."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number
