"""Where rows and cells lie in the bytes of a sheet part, so that only the touched ones are rewritten."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from xml.parsers import expat

from lxml import etree

from quotebook.workbook.areas import parse_cell
from quotebook.workbook.refusals import damaged
from quotebook.workbook.xml_parts import parse_xml, whole

_START_TAG = re.compile(rb"""<[^\s/>]+(?:[^"'>]|"[^"]*"|'[^']*')*>""")
_ENCODING = re.compile(rb"""\A(?:\xef\xbb\xbf)?<\?xml[^>]*?encoding\s*=\s*["']([^"']*)["']""")
_PLAIN_ENCODINGS = frozenset({b"utf-8", b"utf8", b"us-ascii", b"ascii"})


@dataclass(slots=True)
class Span:
    """An element: its name and attributes, where its start tag begins and ends, and where it ends.

    ``close`` is where its end tag begins; equal to ``end`` for an element that closes itself.
    """

    name: str
    attributes: dict[str, str]
    start: int
    tag_end: int
    close: int = -1
    end: int = -1
    children: list[Span] = field(default_factory=list)

    @property
    def local(self) -> str:
        """Return the name without prefix."""
        return self.name.rpartition(":")[2]

    @property
    def closes_itself(self) -> bool:
        """Tell whether it is written as one tag."""
        return self.close == self.end


@dataclass(slots=True)
class SheetScan:
    """A sheet part taken apart. Of rows and cells with the same address the last is kept, as in reading."""

    data: bytes
    sheet_data: Span | None = None
    dimension: Span | None = None
    columns: list[Span] = field(default_factory=list)
    rows: dict[int, Span] = field(default_factory=dict)
    cells: dict[tuple[int, int], Span] = field(default_factory=dict)
    row_cells: dict[int, list[tuple[int, Span]]] = field(default_factory=dict)


def utf8_part(data: bytes, where: str) -> bytes:
    """Return the part in UTF-8: as it is nearly always, else written anew."""
    encoding = _ENCODING.match(data)
    plain = encoding is None or encoding[1].lower() in _PLAIN_ENCODINGS
    if plain and b"\0" not in data[:4] and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        return data
    written: bytes = etree.tostring(parse_xml(data, where), encoding="UTF-8", xml_declaration=True, standalone=True)
    return written


def scan_sheet(data: bytes, where: str) -> SheetScan:
    """Find the rows and cells of a sheet part in UTF-8; NotAWorkbook if it is not well formed."""
    scanner = _Scanner(data)
    try:
        scanner.parser.Parse(data, True)
    except expat.ExpatError as error:
        raise damaged(where, f"XML that cannot be read ({error})", "well-formed XML") from error
    return scanner.scan


class _Scanner:
    """Keeps a stack of the open elements that matter: the sheet data, a row, a cell, its children."""

    def __init__(self, data: bytes) -> None:
        self.scan = SheetScan(data)
        self.parser = expat.ParserCreate()
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self._data = data
        self._path: list[tuple[str, Span | None]] = []
        self._row = 0
        self._column = 0

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2]
        depth = len(self._path)
        above = self._path[-1][0] if self._path else ""
        wanted = (
            (depth == 1 and local in ("sheetData", "dimension"))
            or (depth == 2 and (above, local) in (("sheetData", "row"), ("cols", "col")))
            or (depth == 3 and (above, local) == ("row", "c"))
            or (depth == 4 and above == "c")
        )
        span = self._span(name, attributes) if wanted else None
        self._path.append((local, span))
        if span is not None:
            self._place(local, span, depth)

    def _span(self, name: str, attributes: dict[str, str]) -> Span:
        start = self.parser.CurrentByteIndex
        tag = _START_TAG.match(self._data, start)
        return Span(name, attributes, start, tag.end() if tag else start)

    def _place(self, local: str, span: Span, depth: int) -> None:
        if depth == 4:
            parent = self._path[-2][1]
            if parent is not None:
                parent.children.append(span)
        elif local == "row":
            text = span.attributes.get("r")
            self._row, self._column = self._row + 1 if text is None else whole(text), 0
            self.scan.rows[self._row] = span
            self.scan.row_cells[self._row] = []
        elif local == "c":
            address = span.attributes.get("r")
            key = (self._row, self._column + 1) if address is None else parse_cell(address) or (0, 0)
            self._column = key[1]
            self.scan.cells[key] = span
            self.scan.row_cells[self._row].append((key[1], span))
        elif local == "col":
            self.scan.columns.append(span)
        elif local == "sheetData":
            self.scan.sheet_data = span
        else:
            self.scan.dimension = span

    def _end(self, name: str) -> None:
        _, span = self._path.pop()
        if span is None:
            return
        here = self.parser.CurrentByteIndex
        if self._data.startswith(f"</{name}".encode(), here):
            span.close, span.end = here, self._data.index(b">", here) + 1
        else:
            span.close = span.end = span.tag_end
