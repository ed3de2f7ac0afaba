"""A digest of a book's text, which is had without reading a single formula."""

from __future__ import annotations

from hashlib import sha256

from quotebook.engine.book import FormulaBook


def text_digest(book: FormulaBook) -> str:
    """Return a digest of everything in a book but its inputs, letter by letter: equal digests, equal programs."""
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
    return sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()
