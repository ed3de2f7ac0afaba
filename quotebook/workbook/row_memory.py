"""Rows that were read before: in a folder of workbooks from one template most rows are the same, byte for byte.

A batch hands one memory to all its readings. A sheet part is cut into rows as bytes; rows that stand in the memory are
taken from there, and what is left goes through the XML reader as a smaller part, so nothing is read by other rules. A
row is remembered only after the XML reader has accepted it, and only if its cells depend on nothing outside of it but
the shared texts, the formats, the date system and the root tag, which are all part of its key. A cell says by a number
which shared text it holds, and one text more in a file gives all later ones other numbers; in the key the texts stand
themselves. Wherever the bytes are not plainly rows one after the other, the part is read as a whole.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from quotebook.workbook.snapshot import Cell

_ROOT = re.compile(rb"(?:\xef\xbb\xbf)?\s*(?:<\?xml[^>]*\?>\s*)?(<worksheet[^>]*>)")
_FOREIGN = re.compile(rb"encoding=(?![\"'](?i:utf-8)[\"'])")
_START = re.compile(rb"<row r=\"([1-9][0-9]{0,6})\"[^>]*>")
_PLAIN_FORMULA = b'<f aca="false">'  # as LibreOffice writes a plain one
_SHARED = b't="s"'
_SHARED_TEXT = re.compile(rb't="s"><v>([0-9]+)</v>')
#: Where a text begins in a key; a file's own bytes never hold it, for no XML holds a NUL.
_INSIDE = b"\0"
_OPEN, _CLOSE = b"<sheetData>", b"</sheetData>"

Cells = dict[tuple[int, int], Cell]
#: What a row depends on outside of it, and its bytes with shared texts in place of their numbers.
Key = tuple[object, bytes]


class KnownRow(NamedTuple):
    """A row as it was read: its number, its cells in file order, and whether it is hidden."""

    number: int
    cells: Cells
    hidden: bool


@dataclass(frozen=True, slots=True)
class CutSheet:
    """``rest``: the part without the known rows. ``rows``: in file order, of the unknown the keys."""

    rest: bytes
    rows: list[KnownRow | Key]


class ByAllTexts(NamedTuple):
    """What a row depends on whose texts could not be told one by one: all of the workbook's, by their digest."""

    context: object
    digest: bytes


class SharedTexts:
    """The shared texts of a workbook by their numbers; ``digest``: of the part that holds them."""

    def __init__(self, strings: Mapping[str, str], digest: bytes) -> None:
        self.strings = strings
        self._digest = digest

    @cached_property
    def _inside(self) -> dict[bytes, bytes]:
        """What stands in a key for each number; the length says where the text ends, so no two rows share a key."""
        inside: dict[bytes, bytes] = {}
        for number, text in self.strings.items():
            held = text.encode("utf-8", "surrogatepass")
            inside[number.encode()] = b"%b%d:%b" % (_INSIDE, len(held), held)
        return inside

    def key(self, context: object, row: bytes) -> Key:
        """Return a row's key with the texts in it; where a number cannot be told, with all texts of the workbook."""
        try:
            inside, count = _SHARED_TEXT.subn(lambda found: self._inside[found[1]], row)
        except KeyError:
            count = -1
        return (context, inside) if count == row.count(_SHARED) else (ByAllTexts(context, self._digest), row)


class RowMemory:
    """Rows by their bytes, up to a number of bytes; of older ones those are kept that are met again."""

    def __init__(self, most_bytes: int = 12_000_000) -> None:
        self.most_bytes = most_bytes
        self.texts: dict[bytes, SharedTexts] = {}
        self._young: dict[Key, KnownRow] = {}
        self._old: dict[Key, KnownRow] = {}
        self._size = 0

    def cut(self, data: bytes, texts: SharedTexts, context: object) -> CutSheet | None:
        """Return a sheet part cut into rows, or None where that cannot be done without reading it."""
        root, found = _ROOT.match(data), _sheet_data(data)
        if root is None or found is None or _INSIDE in data or _FOREIGN.search(data[: root.start(1)]):
            return None
        start, end = found
        chunks = _rows(data[start:end])
        if chunks is None:
            return None
        context = (context, root[1])
        rows: list[KnownRow | Key] = []
        unknown: list[bytes] = []
        for chunk in chunks:
            key = (context, chunk) if _SHARED not in chunk else texts.key(context, chunk)
            known = self._find(key)
            rows.append(known or key)
            if known is None:
                unknown.append(chunk)
        return CutSheet(b"".join((data[:start], *unknown, data[end:])), rows)

    def learn(self, key: Key, row: KnownRow, shared: int) -> None:
        """Keep a row that was read, unless its formulas span several cells.

        ``shared``: cells in which the XML reader found a shared text; a key that shows fewer does not tell the row.
        """
        told = isinstance(key[0], ByAllTexts) or key[1].count(_INSIDE) == shared
        if told and key[1].count(b"<f ") == key[1].count(_PLAIN_FORMULA):
            self._keep(key, row)

    def _find(self, key: Key) -> KnownRow | None:
        row = self._young.get(key)
        if row is None:
            row = self._old.get(key)
            if row is not None:
                self._keep(key, row)
        return row

    def _keep(self, key: Key, row: KnownRow) -> None:
        if self._size > self.most_bytes:
            self._old, self._young, self._size = self._young, {}, 0
        self._young[key] = row
        self._size += len(key[1])


def _sheet_data(data: bytes) -> tuple[int, int] | None:
    """Return where the rows begin and end, or None."""
    if data.count(_OPEN) != 1 or data.count(_CLOSE) != 1 or data.count(b"<sheetData") != 1:
        return None
    start, end = data.index(_OPEN) + len(_OPEN), data.index(_CLOSE)
    # Comments, CDATA and instructions may hold anything, also what looks like a row.
    return None if start > end or b"<!" in data or data.count(b"<?") > 1 else (start, end)


def _rows(data: bytes) -> list[bytes] | None:
    """Return the rows if they follow each other without anything between, numbered and rising, else None."""
    head, *tails = data.split(b"<row ")
    if head.strip():
        return None
    rows, before = [], 0
    for tail in tails:
        row = b"<row " + tail
        start = _START.match(row)
        if start is None or int(start[1]) <= before:
            return None
        before = int(start[1])
        inside = row.count(b"</row>")
        closed = start.end() == len(row) and row.endswith(b"/>") if inside == 0 else row.endswith(b"</row>")
        if inside > 1 or not closed:
            return None
        rows.append(row)
    return rows
