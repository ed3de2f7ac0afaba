"""Formula text as pieces that can be exchanged one by one; joined again they give the same formula.

A reference with its sheet and both its corners is one piece.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from quotebook.engine.tokens import tokenize
from quotebook.values import Address, column_letters, column_number

_CORNER = re.compile(r"(\$?)([A-Za-z]{1,3})(\$?)([0-9]+)")
COMPARISONS = ("<", "<=", ">", ">=", "=", "<>")


class Piece(NamedTuple):
    """``kind``: "ref" for a reference, else the kind that the tokenizer gives; ``text`` with any space before it."""

    kind: str
    text: str

    @property
    def bare(self) -> str:
        """Return the text without space before it."""
        return self.text.strip()


@dataclass(frozen=True)
class Ref:
    """A reference as written: ``sheet`` with its exclamation mark or ""; corners of row, column and their dollars."""

    sheet: str
    row: int
    column: int
    fixed_row: bool
    fixed_column: bool
    last_row: int | None = None
    last_column: int | None = None
    last_fixed_row: bool = False
    last_fixed_column: bool = False

    @property
    def is_range(self) -> bool:
        """Tell whether it has two corners."""
        return self.last_row is not None

    @property
    def text(self) -> str:
        """Return the reference as a formula holds it."""
        first = _corner(self.row, self.column, self.fixed_row, self.fixed_column)
        if self.last_row is None or self.last_column is None:
            return self.sheet + first
        last = _corner(self.last_row, self.last_column, self.last_fixed_row, self.last_fixed_column)
        return f"{self.sheet}{first}:{last}"

    def title(self, own: str) -> str:
        """Return the title of the sheet it points to; ``own`` is the formula's sheet."""
        name = self.sheet[:-1]
        if not name:
            return own
        return name[1:-1].replace("''", "'") if name.startswith("'") else name

    def cell(self, own: str) -> Address:
        """Return its first cell."""
        return Address(self.title(own), self.row, self.column)

    def cells(self, own: str) -> list[Address]:
        """Return all its cells, at most 5000."""
        title = self.title(own)
        rows = range(self.row, (self.last_row or self.row) + 1)
        columns = range(self.column, (self.last_column or self.column) + 1)
        if len(rows) * len(columns) > 5000:
            return []
        return [Address(title, row, column) for row in rows for column in columns]

    def moved(self, rows: int, columns: int) -> Ref:
        """Return the reference moved as a whole."""
        last_row = None if self.last_row is None else self.last_row + rows
        last_column = None if self.last_column is None else self.last_column + columns
        return replace(
            self, row=self.row + rows, column=self.column + columns, last_row=last_row, last_column=last_column
        )


def _corner(row: int, column: int, fixed_row: bool, fixed_column: bool) -> str:
    return f"{'$' * fixed_column}{column_letters(column)}{'$' * fixed_row}{row}"


def pieces_of(formula: str) -> list[Piece]:
    """Return the pieces of a formula given without its equals sign. Errors: the tokenizer's FormulaTrouble."""
    found: list[Piece] = []
    tokens = tokenize(formula)
    index = 0
    while index < len(tokens):
        token = tokens[index]
        lead = " " if token.spaced else ""
        parts = [token.text]
        kind = token.kind
        if kind in ("sheet", "quoted") and index + 1 < len(tokens) and tokens[index + 1].kind == "cell":
            index += 1
            parts.append(tokens[index].text)
            kind = "cell"
        if kind == "cell":
            kind = "ref"
            ahead = [each.text for each in tokens[index + 1 : index + 3]]
            if len(ahead) == 2 and ahead[0] == ":" and tokens[index + 2].kind == "cell":
                parts += ahead
                index += 2
        found.append(Piece(kind, lead + "".join(parts)))
        index += 1
    return found


def joined(pieces: Sequence[Piece]) -> str:
    """Return the formula that the pieces make."""
    return "".join(piece.text for piece in pieces).strip()


def exchanged(pieces: Sequence[Piece], index: int, text: str, upto: int | None = None) -> str:
    """Return the formula with the pieces from ``index`` to before ``upto`` (one by default) replaced by a text."""
    last = index + 1 if upto is None else upto
    return joined([*pieces[:index], Piece("new", text), *pieces[last:]])


def ref_of(piece: Piece) -> Ref:
    """Return what a piece of the kind "ref" points to."""
    sheet, mark, corners = piece.bare.rpartition("!")
    found = _CORNER.findall(corners)
    (fixed_column, letters, fixed_row, row), *rest = found
    ref = Ref(sheet + mark, int(row), column_number(letters), bool(fixed_row), bool(fixed_column))
    if not rest:
        return ref
    fixed_column, letters, fixed_row, row = rest[0]
    return replace(
        ref, last_row=int(row), last_column=column_number(letters), last_fixed_row=bool(fixed_row),
        last_fixed_column=bool(fixed_column),
    )  # fmt: skip


def refs(pieces: Sequence[Piece]) -> Iterator[tuple[int, Ref]]:
    """Yield the place and the meaning of each reference."""
    for index, piece in enumerate(pieces):
        if piece.kind == "ref":
            yield index, ref_of(piece)


class Sum(NamedTuple):
    """A row of terms at one depth: the places where each term begins and ends, and the places of the operators."""

    terms: tuple[tuple[int, int], ...]
    operators: tuple[int, ...]


def sums(pieces: Sequence[Piece]) -> list[Sum]:
    """Return every place where two or more terms are added or subtracted."""
    found: list[Sum] = []
    stack: list[list[int]] = [[0]]  # for each depth: where the present stretch began, then its + and -
    for index, piece in enumerate(pieces):
        text = piece.bare
        if piece.kind == "function" or text in ("(", "{"):
            stack.append([index + 1])
        elif text in (")", "}", ",", ";", "&", *COMPARISONS) and piece.kind == "op":
            _close(stack[-1], index, found)
            if text in (")", "}"):
                if len(stack) > 1:
                    stack.pop()
            else:
                stack[-1] = [index + 1]
        elif text in ("+", "-") and piece.kind == "op" and index > stack[-1][0] and _ends_value(pieces[index - 1]):
            stack[-1].append(index)
    _close(stack[0], len(pieces), found)
    return found


def _close(stretch: list[int], end: int, found: list[Sum]) -> None:
    begin, *operators = stretch
    if operators:
        starts = [begin, *(each + 1 for each in operators)]
        found.append(Sum(tuple(zip(starts, [*operators, end], strict=True)), tuple(operators)))
    stretch[1:] = []


def _ends_value(piece: Piece) -> bool:
    return piece.kind != "op" or piece.bare in (")", "}", "%")


def arguments(pieces: Sequence[Piece], function: int) -> list[tuple[int, int]]:
    """Return where each argument of the function at a place begins and ends."""
    found: list[tuple[int, int]] = []
    depth, begin = 0, function + 1
    for index in range(function + 1, len(pieces)):
        text = pieces[index].bare
        if pieces[index].kind == "function" or text in ("(", "{"):
            depth += 1
        elif text in (")", "}") and depth:
            depth -= 1
        elif text == ")" and not depth:
            found.append((begin, index))
            return found
        elif text == "," and not depth:
            found.append((begin, index))
            begin = index + 1
    return found
