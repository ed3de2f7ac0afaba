"""Structured table references: ``Ops[Cost]``, ``Ops[[#This Row],[Cost]]``, ``[@Cost]``, and their cells."""

from __future__ import annotations

import re

from quotebook.engine import syntax as s
from quotebook.engine.book import TableRange
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, ErrorValue

_ITEMS = ("#all", "#data", "#headers", "#totals", "#this row")
_PIECE = re.compile(r"\s*(?:\[(?P<inner>(?:'.|[^\[\]'])*)\]|(?P<mark>[,:@]))\s*", re.DOTALL)


def parse_table_reference(text: str) -> s.TableRef:
    """Return the parts of a reference such as ``Ops[[#This Row],[Cost]]``.

    Errors: FormulaTrouble when the text in the brackets is none of the known forms.
    """
    head, inner = text.split("[", 1)
    inner = inner[:-1]
    table = head or None
    if not inner.strip():
        return s.TableRef(table, (), None, None)
    if inner.startswith("@") and not inner[1:].lstrip().startswith("["):
        return s.TableRef(table, ("#this row",), _unescape(inner[1:].strip()) or None, None)
    if not inner.lstrip("@ ").startswith("["):
        if inner.strip().casefold() in _ITEMS:
            return s.TableRef(table, (inner.strip().casefold(),), None, None)
        return s.TableRef(table, (), _unescape(inner), None)
    return _pieces(table, inner)


def _pieces(table: str | None, inner: str) -> s.TableRef:
    items: list[str] = []
    headings: list[str] = []
    spanned = False
    position = 0
    while position < len(inner):
        match = _PIECE.match(inner, position)
        if match is None:
            raise FormulaTrouble(f"the table reference [{inner}] cannot be read")
        position = match.end()
        if match["mark"] == "@":
            items.append("#this row")
        elif match["mark"] == ":":
            spanned = True
        elif match["inner"] is not None:
            piece = match["inner"]
            if piece.strip().casefold() in _ITEMS:
                items.append(piece.strip().casefold())
            else:
                headings.append(_unescape(piece))
    if len(headings) > 2 or spanned != (len(headings) == 2):
        raise FormulaTrouble(f"the table reference [{inner}] names several separate columns; not supported")
    first = headings[0] if headings else None
    last = headings[1] if len(headings) == 2 else None
    return s.TableRef(table, tuple(items), first, last)


def _unescape(heading: str) -> str:
    return re.sub(r"'(.)", r"\1", heading, flags=re.DOTALL)


def resolve_table_reference(node: s.TableRef, tables: tuple[TableRange, ...], cell: Address) -> s.Node:
    """Return the plain reference that a structured one stands for in the formula of ``cell``.

    Errors: FormulaTrouble for a table or column that the book does not have.
    """
    table = _find_table(node, tables, cell)
    left, right = _span(node, table)
    top, bottom = _rows(node, table, cell)
    if top is None or bottom is None or top > bottom:
        return s.ErrorLiteral(ErrorValue.REF)
    form = "cell" if (top, left) == (bottom, right) else "range"
    return s.Reference(table.sheet, top, left, bottom, right, (True, True, True, True), form)


def _find_table(node: s.TableRef, tables: tuple[TableRange, ...], cell: Address) -> TableRange:
    for table in tables:
        if node.table is None:
            inside_rows = table.first_row <= cell.row <= table.last_row
            inside_columns = table.first_column <= cell.column <= table.last_column
            if table.sheet == cell.sheet and inside_rows and inside_columns:
                return table
        elif table.name.casefold() == node.table.casefold():
            return table
    raise FormulaTrouble(f"the book has no table {node.table!r}" if node.table else "the formula stands in no table")


def _span(node: s.TableRef, table: TableRange) -> tuple[int, int]:
    if node.first is None:
        return table.first_column, table.last_column
    first = _column(table, node.first)
    last = first if node.last is None else _column(table, node.last)
    return min(first, last), max(first, last)


def _column(table: TableRange, heading: str) -> int:
    for offset, each in enumerate(table.columns):
        if each.casefold() == heading.casefold():
            return table.first_column + offset
    raise FormulaTrouble(f"the table {table.name!r} has no column {heading!r}")


def _rows(node: s.TableRef, table: TableRange, cell: Address) -> tuple[int | None, int | None]:
    data_top, data_bottom = table.first_row + table.header_rows, table.last_row - table.totals_rows
    parts: list[tuple[int, int]] = []
    for item in node.items or ("#data",):
        if item == "#all":
            parts.append((table.first_row, table.last_row))
        elif item == "#data":
            parts.append((data_top, data_bottom))
        elif item == "#headers" and table.header_rows:
            parts.append((table.first_row, table.first_row + table.header_rows - 1))
        elif item == "#totals" and table.totals_rows:
            parts.append((table.last_row - table.totals_rows + 1, table.last_row))
        elif item == "#this row":
            if not data_top <= cell.row <= data_bottom:
                raise FormulaTrouble(f"[#This Row] stands outside of the rows of table {table.name!r}")
            parts.append((cell.row, cell.row))
    if not parts:
        return None, None
    return min(part[0] for part in parts), max(part[1] for part in parts)
