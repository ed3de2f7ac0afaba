"""A copy of a workbook with marks on cells and one more sheet; every part that need not change stays byte for byte.

A mark is a hatched ground over the cell's own format. The added sheet holds texts, numbers and links within the file.
"""

from __future__ import annotations

import copy
import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from lxml import etree

from quotebook.values import Address, column_letters
from quotebook.workbook.package import Package
from quotebook.workbook.package_limits import plain_name
from quotebook.workbook.refusals import damaged
from quotebook.workbook.restyle import restyled
from quotebook.workbook.snapshot import Snapshot
from quotebook.workbook.text_escapes import escaped
from quotebook.workbook.workbook_part import read_workbook_part
from quotebook.workbook.xml_parts import Element, child, children, parse_xml, whole

_CONTENT_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_STRICT = "http://purl.oclc.org/ooxml"


@dataclass(frozen=True, slots=True)
class Link:
    """A cell of the added sheet that leads to a cell of the workbook."""

    text: str
    sheet: str
    cell: str


SheetRow = Sequence[str | float | Link | None]


def marked_package(
    package: Package,
    snapshot: Snapshot,
    marks: Mapping[Address, str],
    title: str,
    rows: Sequence[SheetRow],
    widths: Sequence[float],
) -> bytes:
    """Return the bytes of the package with marks and the added sheet.

    ``marks``: RRGGBB of the hatching for each cell. ``rows``: the added sheet, its first row the headings; a text is
    always text, never a formula. ``title``: changed where a sheet of that title is there already.
    """
    workbook = read_workbook_part(package)
    replaced: dict[str, bytes] = {}
    styles_part = workbook.related("styles")
    styles_part = package.find(styles_part) if styles_part else None
    if styles_part is not None and marks:
        root = parse_xml(package.read(styles_part), package.where(styles_part))
        replaced |= _marked_sheets(package, snapshot, marks, root)
        replaced[styles_part] = _bytes(root)
    part = _free_part(package)
    book = parse_xml(package.read(workbook.name), package.where(workbook.name))
    relations_part = _relations_name(package, workbook.name)
    relations = parse_xml(package.read(relations_part), package.where(relations_part))
    identity = _free_identity(relations)
    strict = etree.QName(book).namespace.startswith(_STRICT)
    _add_sheet(book, _free_title(snapshot, title), identity, strict)
    _add_relation(relations, identity, part, strict)
    types_part = package.find("[Content_Types].xml")
    if types_part is None:
        raise damaged(str(package.path), "no list of content types", "a workbook package")
    types = parse_xml(package.read(types_part), package.where(types_part))
    etree.SubElement(types, f"{{{_TYPES}}}Override", PartName=f"/{part}", ContentType=_CONTENT_TYPE)
    replaced |= {workbook.name: _bytes(book), relations_part: _bytes(relations), types_part: _bytes(types)}
    return _with_part(package, replaced, part, _sheet_xml(rows, widths, etree.QName(book).namespace))


# -- marks --------------------------------------------------------------------------------------


def _marked_sheets(
    package: Package, snapshot: Snapshot, marks: Mapping[Address, str], styles: Element
) -> dict[str, bytes]:
    looks = _Looks(styles)
    by_sheet: dict[str, dict[tuple[int, int], int]] = {}
    for address, color in marks.items():
        sheet = snapshot.sheet(address.sheet)
        if sheet is None:
            continue
        cell = sheet.cells.get((address.row, address.column))
        style = looks.marked(cell.style if cell is not None else 0, color)
        by_sheet.setdefault(sheet.part, {})[address.row, address.column] = style
    return {part: restyled(package.read(part), package.where(part), cells) for part, cells in by_sheet.items()}


class _Looks:
    """Adds marked twins of formats to a styles part."""

    def __init__(self, root: Element) -> None:
        self._root = root
        self._namespace = etree.QName(root).namespace
        self._fills: dict[str, int] = {}
        self._formats: dict[tuple[int, str], int] = {}

    def marked(self, style: int, color: str) -> int:
        """Return the number of the format that looks like another one and is hatched."""
        if (style, color) not in self._formats:
            formats = child(self._root, "cellXfs")
            listed = children(formats, "xf")
            if formats is None or not listed:
                formats = self._added("cellXfs")
                listed = [etree.SubElement(formats, f"{{{self._namespace}}}xf")]
            twin = copy.deepcopy(listed[style] if style < len(listed) else listed[0])
            twin.set("fillId", str(self._fill(color)))
            twin.set("applyFill", "1")
            formats.append(twin)
            formats.set("count", str(len(listed) + 1))
            self._formats[style, color] = len(listed)
        return self._formats[style, color]

    def _fill(self, color: str) -> int:
        if color not in self._fills:
            fills = child(self._root, "fills")
            if fills is None:
                fills = self._added("fills")
            fill = etree.SubElement(fills, f"{{{self._namespace}}}fill")
            pattern = etree.SubElement(fill, f"{{{self._namespace}}}patternFill", patternType="lightUp")
            etree.SubElement(pattern, f"{{{self._namespace}}}fgColor", rgb=f"FF{color}")
            etree.SubElement(pattern, f"{{{self._namespace}}}bgColor", rgb="FFFFFFFF")
            count = len(children(fills, "fill"))
            fills.set("count", str(count))
            self._fills[color] = count - 1
        return self._fills[color]

    def _added(self, name: str) -> Element:
        element = etree.Element(f"{{{self._namespace}}}{name}")
        self._root.insert(0, element)
        return element


# -- the added sheet ----------------------------------------------------------------------------


def _sheet_xml(rows: Sequence[SheetRow], widths: Sequence[float], namespace: str) -> bytes:
    columns = "".join(
        f'<col min="{number}" max="{number}" width="{width:g}" customWidth="1"/>'
        for number, width in enumerate(widths, start=1)
    )
    lines, links = [], []
    for number, row in enumerate(rows, start=1):
        cells = []
        for column, value in enumerate(row, start=1):
            where = f"{column_letters(column)}{number}"
            cells.append(_cell_xml(where, value))
            if isinstance(value, Link):
                target = "'" + value.sheet.replace("'", "''") + "'!" + value.cell
                links.append(f'<hyperlink ref="{where}" location={quoteattr(escaped(target))}/>')
        lines.append(f'<row r="{number}">{"".join(cells)}</row>')
    hyperlinks = f"<hyperlinks>{''.join(links)}</hyperlinks>" if links else ""
    text = (
        '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        f'<worksheet xmlns="{namespace}"><cols>{columns}</cols><sheetData>{"".join(lines)}</sheetData>'
        f"{hyperlinks}</worksheet>"
    )
    return text.encode("utf-8")


def _cell_xml(where: str, value: str | float | Link | None) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f'<c r="{where}"><v>{value!r}</v></c>'
    text = value.text if isinstance(value, Link) else value
    inside = escape(escaped(text[:32_000]))
    return f'<c r="{where}" t="inlineStr"><is><t xml:space="preserve">{inside}</t></is></c>'


def _free_title(snapshot: Snapshot, title: str) -> str:
    taken = {sheet.title.casefold() for sheet in snapshot.sheets}
    number, wanted = 1, title
    while wanted.casefold() in taken:
        number += 1
        wanted = f"{title} {number}"
    return wanted


def _free_part(package: Package) -> str:
    number = 1
    while package.find(f"xl/worksheets/sheet{number}.xml") is not None:
        number += 1
    return f"xl/worksheets/sheet{number}.xml"


def _add_sheet(book: Element, title: str, identity: str, strict: bool) -> None:
    sheets = child(book, "sheets")
    numbers = [whole(sheet.get("sheetId")) for sheet in children(sheets, "sheet")]
    office = f"{_STRICT}/officeDocument/relationships" if strict else _OFFICE
    element = etree.SubElement(sheets, f"{{{etree.QName(book).namespace}}}sheet")
    element.set("name", title)
    element.set("sheetId", str(max(numbers, default=0) + 1))
    element.set(f"{{{office}}}id", identity)


_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def _add_relation(relations: Element, identity: str, part: str, strict: bool) -> None:
    kind = f"{_STRICT}/officeDocument/relationships/worksheet" if strict else f"{_OFFICE}/worksheet"
    etree.SubElement(relations, f"{{{_RELATIONS}}}Relationship", Id=identity, Type=kind, Target=f"/{part}")


def _free_identity(relations: Element) -> str:
    taken = {element.get("Id") for element in children(relations, "Relationship")}
    number = 1
    while f"rIdA{number}" in taken:
        number += 1
    return f"rIdA{number}"


def _relations_name(package: Package, part: str) -> str:
    folder, _, base = part.rpartition("/")
    name = package.find(f"{folder}/_rels/{base}.rels" if folder else f"_rels/{base}.rels")
    if name is None:
        raise damaged(str(package.path), "no relations of the workbook part", "a workbook package")
    return name


def _bytes(root: Element) -> bytes:
    written: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True, standalone=True)
    return written


def _with_part(package: Package, replaced: Mapping[str, bytes], part: str, content: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for entry in package.entries:
            name = plain_name(entry.filename)
            twin = zipfile.ZipInfo(entry.filename, entry.date_time)
            twin.compress_type = entry.compress_type
            twin.external_attr = entry.external_attr
            twin.create_system = entry.create_system
            archive.writestr(twin, replaced[name] if name in replaced else package.read_entry(entry))
        fresh = zipfile.ZipInfo(part, package.entries[0].date_time)
        fresh.compress_type = zipfile.ZIP_DEFLATED
        archive.writestr(fresh, content)
    return buffer.getvalue()
