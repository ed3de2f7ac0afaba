"""The nodes of a formula's syntax tree; what a formula says, before anything is looked up.

Rows and columns count from 1. A tree holds no results and knows no workbook.
"""

from __future__ import annotations

from typing import NamedTuple

from quotebook.values import ErrorValue

#: Last row and column of a sheet in the current file format.
LAST_ROW = 1_048_576
LAST_COLUMN = 16_384


class Number(NamedTuple):
    """A number written in the formula."""

    value: float


class Text(NamedTuple):
    """A text written in the formula, quotes already taken away."""

    value: str


class Logical(NamedTuple):
    """TRUE or FALSE, also when written TRUE() or FALSE()."""

    value: bool


class ErrorLiteral(NamedTuple):
    """An error written in the formula, as #REF! after rows were deleted."""

    value: ErrorValue


class Missing(NamedTuple):
    """An argument left empty between two separators."""


class Reference(NamedTuple):
    """A cell or a rectangle of cells.

    ``sheet`` is None for the formula's own sheet. ``fixed`` says which of top, left, bottom, right carry a ``$``.
    ``form`` is "cell", "range", "columns" or "rows".
    """

    sheet: str | None
    top: int
    left: int
    bottom: int
    right: int
    fixed: tuple[bool, bool, bool, bool]
    form: str


class NameRef(NamedTuple):
    """A defined name, with the sheet written before it if any."""

    sheet: str | None
    name: str


class TableRef(NamedTuple):
    """A structured reference: table (None inside the table), items such as "#this row", first and last heading."""

    table: str | None
    items: tuple[str, ...]
    first: str | None
    last: str | None


class Unary(NamedTuple):
    """One of ``-``, ``+``, ``%`` (written behind) and ``@`` with its operand."""

    operator: str
    operand: Node


class Binary(NamedTuple):
    """An operator between two operands."""

    operator: str
    left: Node
    right: Node


class Chain(NamedTuple):
    """Three or more terms of one precedence, ``+`` and ``-`` or ``&``, taken from left to right."""

    operators: tuple[str, ...]
    terms: tuple[Node, ...]


class Call(NamedTuple):
    """A function, its name in capitals and without prefixes, with its arguments."""

    name: str
    arguments: tuple[Node, ...]


class ArrayLiteral(NamedTuple):
    """Constants in braces, row by row."""

    rows: tuple[tuple[float | str | bool | ErrorValue, ...], ...]


Node = (
    Number
    | Text
    | Logical
    | ErrorLiteral
    | Missing
    | Reference
    | NameRef
    | TableRef
    | Unary
    | Binary
    | Chain
    | Call
    | ArrayLiteral
)
