"""Formulas filled down a column are one formula, moved: recognised by their text, before anything is parsed."""

from __future__ import annotations

import re

from quotebook.engine.syntax import LAST_COLUMN, LAST_ROW
from quotebook.values import column_number

#: Texts and quoted sheet titles, which are kept as they are; then cells whose row is not held by a ``$``.
_PARTS = re.compile(
    r""""(?:[^"]|"")*"|'(?:[^']|'')*'|(?<![\w.$\\?])(\$?[A-Za-z]{1,3})([1-9][0-9]{0,6})(?![\w.(!\[\\?])"""
)


def row_free(formula: str, row: int) -> str:
    """Return a formula's text with the rows of its cells counted from its own, ``B[-1]*$C$2``.

    Formulas of one sheet with equal texts are one formula filled down. A formula that refers to tables keeps its row,
    for what it means depends on where it stands.
    """
    if "[" in formula:
        return f"{row}: {formula}"

    def moved(match: re.Match[str]) -> str:
        letters, number = match[1], match[2]
        if letters is None or int(number) > LAST_ROW or column_number(letters.strip("$")) > LAST_COLUMN:
            return match[0]
        return f"{letters}[{int(number) - row}]"

    return _PARTS.sub(moved, formula)
