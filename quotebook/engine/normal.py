"""Formulas in a form that does not depend on the program that saved them, and digests of whole books.

Two formulas with one normal form mean the same: capitals of functions and names, spaces, needless brackets, ``_xlfn.``,
``FALSE()`` for FALSE, ``A1:A1`` for A1 and the own sheet's title make no difference. References without ``$`` are given
relative to the formula's cell, so copies down a column share one form.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256

from quotebook.clock import tick
from quotebook.engine import syntax as s
from quotebook.engine.book import FormulaBook, TableRange
from quotebook.engine.digest import names_that_matter
from quotebook.engine.filled_down import row_free
from quotebook.engine.parse import parse
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, ErrorValue

#: Where relative references in defined names are counted from.
_NOWHERE = Address("", 1, 1)


#: Normal forms by sheet, column and text without rows: formulas filled down are read once.
_KNOWN: dict[tuple[str, int, str], str] = {}
_MOST_KNOWN = 50_000


@lru_cache(maxsize=50_000)
def normal_form(formula: str, cell: Address) -> str:
    """Return the normal form of the formula of a cell, given without its equals sign.

    A formula that cannot be read keeps its own text after a question mark.
    """
    key = (cell.sheet, cell.column, row_free(formula, cell.row))
    form = _KNOWN.get(key)
    if form is None:
        tick()
        try:
            form = _write(parse(formula.removeprefix("=")), cell)
        except FormulaTrouble:
            return f"?{formula}"
        if len(_KNOWN) >= _MOST_KNOWN:
            _KNOWN.clear()
        _KNOWN[key] = form
    return form


def fingerprint(book: FormulaBook) -> str:
    """Return a digest of sheets, names, formulas, tables and the date system; inputs play no part.

    Copies of one workbook that different programs saved share it; print areas and other built-in names are left out,
    and so are texts in names that no formula asks for.
    """
    names = sorted(
        ((sheet or "").casefold(), name.casefold(), normal_form(text, _NOWHERE))
        for (sheet, name), text in names_that_matter(book).items()
        if not name.casefold().startswith("_xlnm.")
    )
    tables = sorted(map(_table, book.tables))
    parts = (
        tuple(title.casefold() for title in book.sheets),
        names,
        sorted((cell.sheet.casefold(), *cell[1:], normal_form(f, cell)) for cell, f in book.formulas.items()),
        tables,
        sorted((*first, *last) for first, last in book.arrays.items()),
        book.date1904,
    )
    return sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()


def meaning_digest(book: FormulaBook) -> str:
    """Return a digest of all that a compiled program depends on: equal digests, programs that give equal results.

    More is in it than in ``fingerprint``: titles by letter, hidden rows, and the cells that could not be read.
    """
    parts = (
        fingerprint(book),
        book.sheets,
        sorted(cell for cell in book.formulas),
        sorted(book.opaque.items()),
        sorted((sheet, sorted(rows)) for sheet, rows in book.hidden_rows.items()),
    )
    return sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()


def _table(table: TableRange) -> tuple[str, ...]:
    corners = (table.first_row, table.first_column, table.last_row, table.last_column)
    numbers = map(str, (*corners, table.header_rows, table.totals_rows))
    return (table.name.casefold(), table.sheet.casefold(), *numbers, *(each.casefold() for each in table.columns))


def _write(node: s.Node, cell: Address) -> str:
    return _WRITERS[type(node)](node, cell)


def _number(node: s.Number, cell: Address) -> str:
    return f"{node.value:.15g}"


def _text(node: s.Text, cell: Address) -> str:
    escaped = node.value.replace('"', '""')
    return f'"{escaped}"'


def _constant(value: object) -> str:
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, float):
        return f"{value:.15g}"
    return str(value) if isinstance(value, ErrorValue) else _text(s.Text(str(value)), _NOWHERE)


def _sheet(title: str | None, cell: Address) -> str:
    if title is None or title.casefold() == cell.sheet.casefold():
        return ""
    escaped = title.casefold().replace("'", "''")
    return f"'{escaped}'!"


def _reference(node: s.Reference, cell: Address) -> str:
    def part(letter: str, number: int, fixed: bool, own: int) -> str:
        return f"{letter}{number}" if fixed else f"{letter}[{number - own}]"

    top = part("R", node.top, node.fixed[0], cell.row)
    left = part("C", node.left, node.fixed[1], cell.column)
    bottom = part("R", node.bottom, node.fixed[2], cell.row)
    right = part("C", node.right, node.fixed[3], cell.column)
    # Which end comes first means nothing, and C$1:C1 copied upward would swap its ends.
    top, bottom = sorted((top, bottom))
    left, right = sorted((left, right))
    sheet = _sheet(node.sheet, cell)
    if node.form == "columns":
        return f"{sheet}{left}:{right}"
    if node.form == "rows":
        return f"{sheet}{top}:{bottom}"
    first, last = top + left, bottom + right
    return f"{sheet}{first}" if first == last else f"{sheet}{first}:{last}"


def _name(node: s.NameRef, cell: Address) -> str:
    sheet = "" if node.sheet is None else _sheet(node.sheet, _NOWHERE)
    return f"{sheet}{node.name.casefold()}"


def _table_reference(node: s.TableRef, cell: Address) -> str:
    items = "".join(f"[{item}]" for item in node.items)
    headings = ":".join(f"[{heading.casefold()}]" for heading in (node.first, node.last) if heading is not None)
    return f"{(node.table or '').casefold()}[{items}{headings}]"


def _array(node: s.ArrayLiteral, cell: Address) -> str:
    return "{" + ";".join(",".join(map(_constant, row)) for row in node.rows) + "}"


def _unary(node: s.Unary, cell: Address) -> str:
    return f"({node.operator}{_write(node.operand, cell)})"


def _binary(node: s.Binary, cell: Address) -> str:
    return f"({_write(node.left, cell)}{node.operator}{_write(node.right, cell)})"


def _chain(node: s.Chain, cell: Address) -> str:
    body = _write(node.terms[0], cell)
    for operator, term in zip(node.operators, node.terms[1:], strict=True):
        body += f"{operator}{_write(term, cell)}"
    return f"({body})"


def _call(node: s.Call, cell: Address) -> str:
    return f"{node.name}({','.join(_write(argument, cell) for argument in node.arguments)})"


_WRITERS: dict[type, Callable[..., str]] = {
    s.Number: _number,
    s.Text: _text,
    s.Logical: lambda node, cell: _constant(node.value),
    s.ErrorLiteral: lambda node, cell: _constant(node.value),
    s.Missing: lambda node, cell: "",
    s.ArrayLiteral: _array,
    s.Reference: _reference,
    s.NameRef: _name,
    s.TableRef: _table_reference,
    s.Unary: _unary,
    s.Binary: _binary,
    s.Chain: _chain,
    s.Call: _call,
}
