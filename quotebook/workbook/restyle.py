"""Giving single cells of a sheet part another format; every byte outside of them stays."""

from __future__ import annotations

import re
from collections.abc import Mapping

from quotebook.workbook.areas import cell_name
from quotebook.workbook.refusals import damaged
from quotebook.workbook.sheet_scan import SheetScan, Span, scan_sheet, utf8_part
from quotebook.workbook.xml_parts import parse_xml

Key = tuple[int, int]
_STYLE = re.compile(r"""\s+s\s*=\s*("[^"]*"|'[^']*')""")


def restyled(data: bytes, where: str, styles: Mapping[Key, int]) -> bytes:
    """Return the sheet part with the given format on each of the cells, those that hold nothing included."""
    data = utf8_part(data, where)
    scan = scan_sheet(data, where)
    if scan.sheet_data is None:
        raise damaged(where, "no sheet data", "a worksheet")
    prefix = scan.sheet_data.name.rpartition(":")[0] + ":" if ":" in scan.sheet_data.name else ""
    edits: list[tuple[int, int, str]] = []
    fresh: dict[int, list[tuple[int, str]]] = {}
    for key, style in sorted(styles.items()):
        span = scan.cells.get(key)
        if span is None:
            fresh.setdefault(key[0], []).append((key[1], f'<{prefix}c r="{cell_name(*key)}" s="{style}"/>'))
        else:
            edits.append((span.start, span.tag_end, _tag(scan, span, style)))
    for number, cells in fresh.items():
        edits += _new_cells(scan, prefix, number, cells)
    edited = _applied(data, edits)
    parse_xml(edited, where)  # never hand out a part that could not be read again
    return edited


def _tag(scan: SheetScan, span: Span, style: int) -> str:
    tag = _STYLE.sub("", scan.data[span.start : span.tag_end].decode("utf-8"), count=1)
    end = "/>" if tag.endswith("/>") else ">"
    return f'{tag.removesuffix(end).rstrip()} s="{style}"{end}'


def _new_cells(scan: SheetScan, prefix: str, number: int, cells: list[tuple[int, str]]) -> list[tuple[int, int, str]]:
    row, sheet_data = scan.rows.get(number), scan.sheet_data
    assert sheet_data is not None, "looked for before"
    inside = "".join(text for _, text in cells)
    if row is None:
        text = f'<{prefix}row r="{number}">{inside}</{prefix}row>'
        if sheet_data.closes_itself:
            return [(sheet_data.start, sheet_data.end, f"<{sheet_data.name}>{text}</{sheet_data.name}>")]
        later = [span.start for other, span in scan.rows.items() if other > number]
        place = min(later, default=sheet_data.close)
        return [(place, place, text)]
    if row.closes_itself:
        tag = scan.data[row.start : row.tag_end].decode("utf-8").removesuffix("/>").rstrip()
        return [(row.start, row.end, f"{tag}>{inside}</{row.name}>")]
    edits = []
    for column, text in cells:
        place = next((span.start for other, span in scan.row_cells[number] if other > column), row.close)
        edits.append((place, place, text))
    return edits


def _applied(data: bytes, edits: list[tuple[int, int, str]]) -> bytes:
    pieces, done = [], 0
    for start, end, text in sorted(edits, key=lambda edit: edit[:2]):
        pieces += [data[done:start], text.encode("utf-8")]
        done = end
    return b"".join([*pieces, data[done:]])
