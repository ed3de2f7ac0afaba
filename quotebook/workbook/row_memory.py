"""Rows that were read before: in a folder of workbooks from one template most rows are the same, byte for byte.

A batch hands one memory to all its readings. A sheet part is cut into rows as bytes; rows that stand in the memory are
taken from there, and what is left goes through the XML reader as a smaller part, so nothing is read by other rules. A
row is remembered only after the XML reader has accepted it, and only if its cells depend on nothing outside of it but
the shared texts, the formats, the date system and the root tag, which are all part of its key. A cell says by a number
which shared text it holds, and one text more in a file gives all later ones other numbers; in the key the texts stand
themselves. Wherever the bytes are not plainly rows one after the other, the part is read as a whole. A part of which
every byte and every text is known, such as the shop's rates in all its workbooks, is taken as it was read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING, NamedTuple

from quotebook.workbook.lately import Lately
from quotebook.workbook.part_memory import PartMemory
from quotebook.workbook.snapshot import Cell

if TYPE_CHECKING:
    from quotebook.workbook.sheet_reader import SheetContent

_ROOT = re.compile(rb"(?:\xef\xbb\xbf)?\s*(?:<\?xml[^>]*\?>\s*)?(<worksheet[^>]*>)")
_FOREIGN = re.compile(rb"encoding=(?![\"'](?i:utf-8)[\"'])")
_ROW = b"<row "
_START = re.compile(rb"r=\"([1-9][0-9]{0,6})\"[^>]*>")
_FORMULA = re.compile(rb"<f\s")  # with something to say, of several cells perhaps
_PLAIN_FORMULA = b'<f aca="false">'  # as LibreOffice writes a plain one
_SHARED = b't="s"'
_SHARED_TEXT = re.compile(rb't="s"><v>([0-9]+)</v>')
#: Where a text begins in a key; a file's own bytes never hold it, for no XML holds a NUL.
_INSIDE = b"\0"
_BEGIN, _OPEN, _CLOSE = b"<sheetData", b"<sheetData>", b"</sheetData>"
_MARKS = re.compile(rb"<[!?]")
#: Cells in the sheets that a batch keeps whole: about 25 MB. A workbook of ours has up to 25,000 in twenty sheets.
MOST_CELLS = 120_000
#: Sheets that a batch finds by the digests of their parts and texts: more than are kept.
MOST_KEYS = 1_000

Cells = dict[tuple[int, int], Cell]
#: What a row depends on outside of it, and its bytes with shared texts in place of their numbers.
Key = tuple[object, bytes]
#: The same of a whole part, with a digest of its bytes.
PartKey = tuple[object, bytes]
#: Digests of a part's own bytes and of the part with the texts, and what else its rows depend on.
ExactKey = tuple[bytes, bytes, object]


class KnownRow(NamedTuple):
    """A row as it was read: its number, its cells in file order, and whether it is hidden."""

    number: int
    cells: Cells
    hidden: bool


@dataclass(frozen=True, slots=True)
class Part:
    """A sheet part and where its rows begin and end; ``told``: with shared texts in place of their numbers.

    ``context``: what its rows depend on outside of it. ``key``: what tells the whole part; None without ``told``.
    """

    data: bytes
    start: int
    end: int
    told: bytes | None
    context: object
    key: PartKey | None


@dataclass(slots=True)
class CutSheet:
    """``rest``: the part without the known rows. ``rows``: in file order, of the unknown the keys.

    ``told``: whether every row that was read is told by its key.
    """

    rest: bytes
    rows: list[KnownRow | Key]
    told: bool = True


class ByAllTexts(NamedTuple):
    """What a row depends on whose texts could not be told one by one: all of the workbook's, by their digest."""

    context: object
    digest: bytes


class SharedTexts:
    """The shared texts of a workbook by their numbers; ``digest``: of the part that holds them."""

    def __init__(self, strings: Mapping[str, str], digest: bytes) -> None:
        self.strings = strings
        self.digest = digest

    @cached_property
    def _inside(self) -> dict[bytes, bytes]:
        """What stands in a key for each number; the length says where the text ends, so no two rows share a key."""
        inside: dict[bytes, bytes] = {}
        for number, text in self.strings.items():
            held = text.encode("utf-8", "surrogatepass")
            inside[number.encode()] = b"%b%d:%b" % (_INSIDE, len(held), held)
        return inside

    def told(self, data: bytes) -> bytes | None:
        """Return a part with the texts in it, or None where a number cannot be told."""
        pieces = _SHARED_TEXT.split(data)
        if len(pieces) // 2 != data.count(_SHARED):
            return None
        try:
            pieces[1::2] = map(self._inside.__getitem__, pieces[1::2])
        except KeyError:
            return None
        return b"".join(pieces)

    def key(self, context: object, row: bytes) -> Key:
        """Return a row's key with the texts in it; where a number cannot be told, with all texts of the workbook."""
        try:
            inside, count = _SHARED_TEXT.subn(lambda found: self._inside[found[1]], row)
        except KeyError:
            count = -1
        return (context, inside) if count == row.count(_SHARED) else (ByAllTexts(context, self.digest), row)


class RowMemory:
    """Rows by their bytes, up to a number of bytes; of older ones those are kept that are met again."""

    def __init__(self, most_bytes: int = 12_000_000) -> None:
        self.most_bytes = most_bytes
        self.parts = PartMemory()
        self._young: dict[Key, KnownRow] = {}
        self._old: dict[Key, KnownRow] = {}
        self._size = 0
        self._sheets: Lately[PartKey, SheetContent] = Lately(MOST_CELLS)
        self._keys: Lately[ExactKey, PartKey] = Lately(MOST_KEYS)

    def part(self, data: bytes, texts: SharedTexts, context: object) -> Part | None:
        """Return a sheet part as its rows can be found in it, or None where that cannot be done without reading it."""
        root, found = _ROOT.match(data), _sheet_data(data)
        if root is None or found is None or _INSIDE in data or _FOREIGN.search(data[: root.start(1)]):
            return None
        context, told = (context, root[1]), texts.told(data)
        key = None if told is None else (context, sha256(told).digest())
        return Part(data, *found, told, context, key)

    def cut(self, part: Part, texts: SharedTexts) -> CutSheet | None:
        """Return a sheet part cut into rows, or None where they do not plainly follow each other."""
        data, context = part.data, part.context
        head, *tails = data[part.start : part.end].split(_ROW)
        if head.strip():
            return None
        told = _told_rows(part)
        if len(told) == len(tails):
            keys: list[Key] = [(context, row) for row in told]
        else:  # a text that looks like a row, or one that cannot be told
            keys = [(context, tail) if _SHARED not in tail else texts.key(context, tail) for tail in tails]
        rows: list[KnownRow | Key] = []
        unknown: list[bytes] = []
        before = 0
        for key, tail in zip(keys, tails, strict=True):
            known = self._find(key)
            number = known.number if known is not None else _row_number(tail)
            if number <= before:
                return None
            before = number
            rows.append(known or key)
            if known is None:
                unknown += (_ROW, tail)
        return CutSheet(b"".join((data[: part.start], *unknown, data[part.end :])), rows)

    def exact_sheet(self, exact: ExactKey) -> SheetContent | None:
        """Return what a part holds if it was read before among the same texts, without looking into it."""
        key = self._keys.get(exact)
        return None if key is None else self._sheets.get(key)

    def known_sheet(self, part: Part, exact: ExactKey) -> SheetContent | None:
        """Return what a part holds if every byte and text of it was read before."""
        content = None if part.key is None else self._sheets.get(part.key)
        if part.key is not None and content is not None:
            self._keys.keep(exact, part.key)
        return content

    def learn_sheet(self, part: Part, exact: ExactKey, content: SheetContent) -> None:
        """Keep a part that was read and of which every row is told by its key."""
        if part.key is not None:
            self._sheets.keep(part.key, content, 1 + len(content.cells))  # an empty one has its weight too
            self._keys.keep(exact, part.key)

    def learn(self, key: Key, row: KnownRow, shared: int) -> bool:
        """Keep a row that was read, unless its formulas span several cells; tell whether the key tells the row.

        ``shared``: cells in which the XML reader found a shared text; a key that shows fewer does not tell the row.
        """
        told = isinstance(key[0], ByAllTexts) or key[1].count(_INSIDE) == shared
        if told and len(_FORMULA.findall(key[1])) == key[1].count(_PLAIN_FORMULA):
            self._keep(key, row)
        return told

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
    begin, close = data.find(_BEGIN), data.rfind(_CLOSE)
    start = begin + len(_OPEN)
    if begin < 0 or close < start or not data.startswith(_OPEN, begin):
        return None
    if data.find(_BEGIN, start) >= 0 or data.find(_CLOSE) != close:
        return None
    # Comments, CDATA and instructions may hold anything, also what looks like a row.
    marks = _MARKS.findall(data)
    return (start, close) if marks in ([], [b"<?"]) else None


def _told_rows(part: Part) -> list[bytes]:
    """Return the rows of a part with their texts; before the first and behind the last row there are no texts."""
    if part.told is None:
        return []
    start, end = part.told.index(_OPEN) + len(_OPEN), part.told.rindex(_CLOSE)
    return part.told[start:end].split(_ROW)[1:]


def _row_number(tail: bytes) -> int:
    """Return the number of a row of which all but the first bytes is given, or 0 if it is not plainly one row."""
    start = _START.match(tail)
    if start is None:
        return 0
    inside = tail.count(b"</row>")
    closed = start.end() == len(tail) and tail.endswith(b"/>") if inside == 0 else tail.endswith(b"</row>")
    return int(start[1]) if closed and inside <= 1 else 0
