"""Defined names that every spreadsheet program accepts."""

from __future__ import annotations

import re

from quotebook.errors import NameRefused
from quotebook.values import column_number

_SHAPE = re.compile(r"[A-Za-z_][A-Za-z0-9_.]*")
_CELL = re.compile(r"([A-Za-z]{1,3})([0-9]+)")
_R1C1 = re.compile(r"[Rr]([0-9]*)([Cc][0-9]*)?|[Cc][0-9]*")


def check_name(name: str) -> str:
    """Return the name if a spreadsheet program accepts it.

    Refused: other characters, more than 255, and names that are addresses of cells (``QTY1`` is column QTY, row 1).
    Errors: NameRefused says which.
    """
    if len(name) > 255 or not _SHAPE.fullmatch(name):
        raise NameRefused(f"defined name {name!r}: use letters, digits and underscores, a letter first")
    cell = _CELL.fullmatch(name)
    if (cell and column_number(cell[1]) <= 16384) or _R1C1.fullmatch(name):
        raise NameRefused(f"defined name {name!r} is the address of a cell; join words by an underscore")
    return name
