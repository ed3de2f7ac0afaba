"""A digest of a book's text, which is had without reading a single formula."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Mapping
from dataclasses import replace
from hashlib import sha256
from typing import NamedTuple

from quotebook.engine.book import FormulaBook

#: A name's meaning that is one text, and so can mention nothing.
_TEXT = re.compile(r'=?"(?:[^"]|"")*"')
#: How the file format begins the names of its own that say what a sheet prints.
_BUILT_IN = "_xlnm."
_PRINTED = f"{_BUILT_IN}Print_"


def text_digest(book: FormulaBook) -> str:
    """Return a digest of everything in a book but its inputs, letter by letter: equal digests, equal programs."""
    known = next((one for one in _KNOWN if one.says_the_same(book)), None)
    if known is not None:
        return known.digest
    matter = names_that_matter(book)
    parts = (
        book.sheets,
        sorted((*cell, formula) for cell, formula in book.formulas.items()),
        sorted((sheet or "", name, text) for (sheet, name), text in matter.items()),
        book.tables,
        list(book.arrays.items()),
        list(book.opaque.items()),
        book.date1904,
        sorted((sheet, sorted(rows)) for sheet, rows in book.hidden_rows.items()),
    )
    digest = sha256(repr(parts).encode("utf-8", "surrogatepass")).hexdigest()
    _KNOWN.appendleft(_Known(replace(book, inputs={}), matter, digest))
    return digest


def names_that_matter(book: FormulaBook) -> Mapping[tuple[str | None, str], str]:
    """Return the defined names but those that no formula asks for and that hold a text or what a sheet prints.

    Programs keep notes to themselves in such names (quotebook: the digest of what it promised), and workbooks that
    differ in nothing else share their program.
    """
    notes = {key for key, text in book.names.items() if _is_note(key[1], text)}
    if not notes:
        return book.names
    others = (text for key, text in book.names.items() if key not in notes)
    told = "\n".join([*book.formulas.values(), *others]).casefold()
    return {
        key: text
        for key, text in book.names.items()
        if key not in notes or key[1].removeprefix(_BUILT_IN).casefold() in told
    }


def _is_note(name: str, text: str) -> bool:
    return name.startswith(_PRINTED) or _TEXT.fullmatch(text) is not None


class _Known(NamedTuple):
    """A book whose digest was told, with the names that matter in it."""

    book: FormulaBook
    matter: Mapping[tuple[str | None, str], str]
    digest: str

    def says_the_same(self, other: FormulaBook) -> bool:
        """Tell whether another book would give the same digest, without writing it out."""
        book = self.book
        return (
            book.sheets == other.sheets
            and book.tables == other.tables
            and book.date1904 == other.date1904
            and (book.names == other.names or self._names_say_the_same(other))
            and (book.formulas is other.formulas or book.formulas == other.formulas)
            and list(book.arrays.items()) == list(other.arrays.items())
            and list(book.opaque.items()) == list(other.opaque.items())
            and book.hidden_rows == other.hidden_rows
        )

    def _names_say_the_same(self, other: FormulaBook) -> bool:
        names = self.book.names
        return names.keys() == other.names.keys() and all(
            text == other.names[key] or (key not in self.matter and _is_note(key[1], other.names[key]))
            for key, text in names.items()
        )


#: Books that were asked for lately: the compiler and the memory of kept promises ask one after the other, and the
#: files of a batch hold the same formulas.
_KNOWN: deque[_Known] = deque(maxlen=4)
