"""Rows that were read before: in a folder of workbooks from one template most rows are the same, byte for byte.

A batch hands one memory to all its readings. A sheet part is cut into rows as bytes; rows that stand in the memory are
taken from there, and what is left goes through the XML reader as a smaller part, so nothing is read by other rules. A
row is remembered only after the XML reader has accepted it, and only if its cells depend on nothing outside of it but
the shared texts, the formats, the date system and the root tag, which are all part of its key. Wherever the bytes are
not plainly rows one after the other, the part is read as a whole.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from quotebook.workbook.snapshot import Cell

_ROOT = re.compile(rb"(?:\xef\xbb\xbf)?\s*(?:<\?xml[^>]*\?>\s*)?(<worksheet[^>]*>)")
_FOREIGN = re.compile(rb"encoding=(?![\"'](?i:utf-8)[\"'])")
_START = re.compile(rb"<row r=\"([1-9][0-9]{0,6})\"[^>]*>")
_PLAIN_FORMULA = b'<f aca="false">'  # as LibreOffice writes a plain one
_OPEN, _CLOSE = b"<sheetData>", b"</sheetData>"

Cells = dict[tuple[int, int], Cell]


class KnownRow(NamedTuple):
    """A row as it was read: its number, its cells in file order, and whether it is hidden."""

    number: int
    cells: Cells
    hidden: bool


@dataclass(frozen=True, slots=True)
class CutSheet:
    """``rest``: the part without the known rows. ``rows``: in file order, the unknown as bytes."""

    rest: bytes
    rows: list[KnownRow | bytes]
    context: object


class RowMemory:
    """Rows by their bytes, up to a number of bytes; of older ones those are kept that are met again."""

    def __init__(self, most_bytes: int = 12_000_000) -> None:
        self.most_bytes = most_bytes
        self.texts: dict[bytes, dict[str, str]] = {}
        self._young: dict[tuple[object, bytes], KnownRow] = {}
        self._old: dict[tuple[object, bytes], KnownRow] = {}
        self._size = 0

    def cut(self, data: bytes, context: object) -> CutSheet | None:
        """Return a sheet part cut into rows, or None where that cannot be done without reading it."""
        root, found = _ROOT.match(data), _sheet_data(data)
        if root is None or found is None or _FOREIGN.search(data[: root.start(1)]):
            return None
        start, end = found
        chunks = _rows(data[start:end])
        if chunks is None:
            return None
        context = (context, root[1])
        rows: list[KnownRow | bytes] = []
        unknown: list[bytes] = []
        for chunk in chunks:
            known = self._find((context, chunk))
            rows.append(known or chunk)
            if known is None:
                unknown.append(chunk)
        return CutSheet(b"".join((data[:start], *unknown, data[end:])), rows, context)

    def learn(self, sheet: CutSheet, chunk: bytes, row: KnownRow) -> None:
        """Keep a row that was read, unless its formulas span several cells."""
        if chunk.count(b"<f ") == chunk.count(_PLAIN_FORMULA):
            self._keep((sheet.context, chunk), row)

    def _find(self, key: tuple[object, bytes]) -> KnownRow | None:
        row = self._young.get(key)
        if row is None:
            row = self._old.get(key)
            if row is not None:
                self._keep(key, row)
        return row

    def _keep(self, key: tuple[object, bytes], row: KnownRow) -> None:
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
