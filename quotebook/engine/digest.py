"""A digest of a book's text, which is had without reading a single formula."""

from __future__ import annotations

from hashlib import sha256

from quotebook.engine.book import FormulaBook


def text_digest(book: FormulaBook) -> str:
    """Return a digest of everything in a book but its inputs, letter by letter: equal digests, equal programs."""
    if _LAST and _LAST[0][0] is book:
        return _LAST[0][1]
    parts = (
        book.sheets,
        [(*cell, formula) for cell, formula in book.formulas.items()],
        list(book.names.items()),
        book.tables,
        list(book.arrays.items()),
        list(book.opaque.items()),
        book.date1904,
        sorted((sheet, sorted(rows)) for sheet, rows in book.hidden_rows.items()),
    )
    digest = sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()
    _LAST[:] = [(book, digest)]
    return digest


#: The book that was asked for last: the compiler and the memory of kept promises ask one after the other.
_LAST: list[tuple[FormulaBook, str]] = []
