"""A digest of a book's text, which is had without reading a single formula."""

from __future__ import annotations

import re
from collections.abc import Mapping
from hashlib import sha256

from quotebook.engine.book import FormulaBook

#: A name's meaning that is one text, and so can mention nothing.
_TEXT = re.compile(r'=?"(?:[^"]|"")*"')
#: How the file format begins the names of its own that say what a sheet prints.
_BUILT_IN = "_xlnm."
_PRINTED = f"{_BUILT_IN}Print_"


def text_digest(book: FormulaBook) -> str:
    """Return a digest of everything in a book but its inputs, letter by letter: equal digests, equal programs."""
    if _LAST and _LAST[0][0] is book:
        return _LAST[0][1]
    parts = (
        book.sheets,
        sorted((*cell, formula) for cell, formula in book.formulas.items()),
        sorted((sheet or "", name, text) for (sheet, name), text in names_that_matter(book).items()),
        book.tables,
        list(book.arrays.items()),
        list(book.opaque.items()),
        book.date1904,
        sorted((sheet, sorted(rows)) for sheet, rows in book.hidden_rows.items()),
    )
    digest = sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()
    _LAST[:] = [(book, digest)]
    return digest


def names_that_matter(book: FormulaBook) -> Mapping[tuple[str | None, str], str]:
    """Return the defined names but those that no formula asks for and that hold a text or what a sheet prints.

    Programs keep notes to themselves in such names (quotebook: the digest of what it promised), and workbooks that
    differ in nothing else share their program.
    """
    notes = {key for key, text in book.names.items() if key[1].startswith(_PRINTED) or _TEXT.fullmatch(text)}
    if not notes:
        return book.names
    others = (text for key, text in book.names.items() if key not in notes)
    told = "\n".join([*book.formulas.values(), *others]).casefold()
    return {
        key: text
        for key, text in book.names.items()
        if key not in notes or key[1].removeprefix(_BUILT_IN).casefold() in told
    }


#: The book that was asked for last: the compiler and the memory of kept promises ask one after the other.
_LAST: list[tuple[FormulaBook, str]] = []
