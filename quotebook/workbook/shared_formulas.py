"""Moving a formula by an offset, as a spreadsheet program does with a shared formula.

A file stores a shared formula once, in its first cell; the other cells say only "the same, seen from
here". A reference without $ moves, one with $ stays. Text in quotes, sheet titles, table columns, names,
functions (LOG10) and numbers (1E5) look like references and are left alone.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from quotebook.values import column_letters
from quotebook.workbook.areas import LAST_COLUMN, LAST_ROW, column_of
from quotebook.workbook.refusals import unsafe

#: All formulas of a workbook, written out, may take this many characters: a bound against blow-ups.
MOST_FORMULA_TEXT = 200_000_000

_REF = "#REF!"
_END = r"(?![\w.\\?(!\[$])"
_TOKEN = re.compile(
    r"""
    (?P<text>"(?:[^"]|"")*")
  | (?P<sheet>'(?:[^']|'')*')
  | (?P<bracket>\[(?:[^\[\]']|'.|\[(?:[^\[\]']|'.)*\])*\])
  | (?P<error>\#(?:NULL!|DIV/0!|VALUE!|REF!|NAME\?|NUM!|N/A|SPILL!|CALC!|FIELD!|BLOCKED!|CONNECT!|GETTING_DATA))
  | (?P<sheets>[^\W\d][\w.\\?]*(?::[^\W\d][\w.\\?]*)?!)
  | (?P<columns>\$?[A-Za-z]{1,3}:\$?[A-Za-z]{1,3}END)
  | (?P<rows>\$?[0-9]{1,7}:\$?[0-9]{1,7}END)
  | (?P<cell>\$?[A-Za-z]{1,3}\$?[1-9][0-9]{0,6}END)
  | (?P<word>[^\W\d][\w.\\?]*|\\[\w.\\?]*)
  | (?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[Ee][+-]?[0-9]+)?[\w.]*)
    """.replace("END", _END),
    re.VERBOSE | re.DOTALL,
)
_CELL_PARTS = re.compile(r"(\$?)([A-Za-z]{1,3})(\$?)([0-9]{1,7})\Z")
_LOG10_WITH_BLANKS = re.compile(r"[ \n]+\(")


class _Corner(NamedTuple):
    """One end of a reference; a row or a column of None means all of them."""

    column: int | None
    column_fixed: bool
    row: int | None
    row_fixed: bool

    def moved(self, rows: int, columns: int) -> str:
        text = ""
        if self.column is not None:
            column = self.column if self.column_fixed else self.column + columns
            if not 1 <= column <= LAST_COLUMN:
                return _REF
            text = f"{'$' * self.column_fixed}{column_letters(column)}"
        if self.row is not None:
            row = self.row if self.row_fixed else self.row + rows
            if not 1 <= row <= LAST_ROW:
                return _REF
            text += f"{'$' * self.row_fixed}{row}"
        return text


class MovableFormula:
    """A formula taken apart once, to be written out for many cells."""

    def __init__(self, text: str) -> None:
        self.text = text
        self._pieces: list[str | _Corner] = []
        done = 0
        for match in _TOKEN.finditer(text):
            corners = _corners(match, text)
            if corners:
                self._pieces.append(text[done : match.start()])
                self._pieces += corners
                done = match.end()
        self._pieces.append(text[done:])

    def moved(self, rows: int, columns: int) -> str:
        """Return the formula seen from a cell that many rows down and columns right.

        A reference that would leave the sheet becomes #REF!.
        """
        return "".join([piece if isinstance(piece, str) else piece.moved(rows, columns) for piece in self._pieces])


class TextBudget:
    """Bounds the total length of formulas written out for one workbook."""

    def __init__(self, where: str, most: int = MOST_FORMULA_TEXT) -> None:
        self._where = where
        self._left = most

    def spend(self, text: str) -> str:
        """Return the text, or raise UnsafeWorkbook when the workbook has used up its share."""
        self._left -= len(text)
        if self._left < 0:
            raise unsafe(self._where, "shared formulas that grow beyond reason", f"{MOST_FORMULA_TEXT:,} characters")
        return text


def move_formula(text: str, rows: int, columns: int) -> str:
    """Return a formula seen from a cell that many rows further down and columns further right."""
    return MovableFormula(text).moved(rows, columns)


def _corners(match: re.Match[str], text: str) -> list[str | _Corner]:
    """Return the pieces of a reference token, or nothing if the token stays as it is."""
    token, kind = match[0], match.lastgroup
    if kind == "cell":
        if token.upper() == "LOG10" and _LOG10_WITH_BLANKS.match(text, match.end()):
            return []
        corner = _cell_corner(token)
        return [] if corner is None else [corner]
    if kind not in ("columns", "rows"):
        return []
    ends = [_row_corner(end) if kind == "rows" else _column_corner(end) for end in token.split(":")]
    if ends[0] is None or ends[1] is None:
        return []
    return [ends[0], ":", ends[1]]


def _cell_corner(token: str) -> _Corner | None:
    parts = _CELL_PARTS.match(token)
    if parts is None:
        return None
    column, row = column_of(parts[2]), int(parts[4])
    if column > LAST_COLUMN or row > LAST_ROW:
        return None
    return _Corner(column, bool(parts[1]), row, bool(parts[3]))


def _column_corner(token: str) -> _Corner | None:
    column = column_of(token.lstrip("$"))
    return _Corner(column, token.startswith("$"), None, False) if column <= LAST_COLUMN else None


def _row_corner(token: str) -> _Corner | None:
    row = int(token.lstrip("$"))
    return _Corner(None, False, row, token.startswith("$")) if 1 <= row <= LAST_ROW else None
