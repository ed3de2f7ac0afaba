"""Formulas filled down a column are one formula, moved: recognised by their text, before anything is parsed."""

from __future__ import annotations

import re
from functools import lru_cache

from quotebook.engine import syntax as s
from quotebook.engine.syntax import LAST_COLUMN, LAST_ROW
from quotebook.values import column_number

#: Texts and quoted sheet titles, which are kept as they are; then cells whose row is not held by a ``$``.
_PARTS = re.compile(
    r""""(?:[^"]|"")*"|'(?:[^']|'')*'|(?<![\w.$\\?])(\$?[A-Za-z]{1,3})([1-9][0-9]{0,6})(?![\w.(!\[\\?])"""
)
#: Whole rows, ``5:7``; what else looks like them does no harm.
_WHOLE_ROWS = re.compile(r"[0-9]:\$?[0-9]")


@lru_cache(maxsize=20_000)
def row_free(formula: str, row: int) -> str:
    """Return a formula's text with the rows of its cells counted from its own, ``B[-1]*$C$2``.

    Formulas of one sheet with equal texts are one formula filled down. A formula that refers to tables or whole rows
    keeps its row, for what it means depends on where it stands.
    """
    if "[" in formula or (":" in formula and _WHOLE_ROWS.search(formula)):
        return f"{row}: {formula}"

    def moved(match: re.Match[str]) -> str:
        letters, number = match.groups()
        if letters is None:
            return match[0]
        if len(number) > 6 and int(number) > LAST_ROW:
            return match[0]
        if len(letters) > 2 and column_number(letters.strip("$")) > LAST_COLUMN:
            return match[0]
        return f"{letters}[{int(number) - row}]"

    return _PARTS.sub(moved, formula)


def moved_down(node: s.Node, down: int) -> s.Node:
    """Return the tree of a formula filled down by so many rows (negative: up), as reading its text there would give.

    Not for formulas that keep their row in ``row_free``.
    """
    kind = type(node)
    if kind is s.Reference:
        return _reference_down(node, down)  # type: ignore[arg-type]
    if isinstance(node, s.Call):
        return s.Call(node.name, tuple([moved_down(each, down) for each in node.arguments]))
    if isinstance(node, s.Binary):
        return s.Binary(node.operator, moved_down(node.left, down), moved_down(node.right, down))
    if isinstance(node, s.Chain):
        return s.Chain(node.operators, tuple([moved_down(each, down) for each in node.terms]))
    if isinstance(node, s.Unary):
        return s.Unary(node.operator, moved_down(node.operand, down))
    return node


def _reference_down(node: s.Reference, down: int) -> s.Reference:
    top_fixed, left_fixed, bottom_fixed, right_fixed = node.fixed
    if (top_fixed and bottom_fixed) or node.form == "columns":
        return node
    top, bottom = node.top + (0 if top_fixed else down), node.bottom + (0 if bottom_fixed else down)
    if top > bottom or (top == bottom and top_fixed and not bottom_fixed):
        # The end that was kept stands below the other one now; at equal rows the one without ``$`` comes first.
        top, bottom, top_fixed, bottom_fixed = bottom, top, bottom_fixed, top_fixed
    return s.Reference(
        node.sheet, top, node.left, bottom, node.right, (top_fixed, left_fixed, bottom_fixed, right_fixed), node.form
    )
