"""A copy of a workbook with marks on cells and one more sheet; every part that need not change stays byte for byte.

A mark is a hatched ground over the cell's own format and a note. The added sheet holds texts, numbers and links within
the file. Marks and sheet of an earlier time are replaced.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

from quotebook.values import Address
from quotebook.workbook.list_sheet import SheetRow, list_sheet_xml
from quotebook.workbook.mark_looks import MarkLooks
from quotebook.workbook.notes import VML_TYPE, with_notes
from quotebook.workbook.package import Package
from quotebook.workbook.package_limits import plain_name
from quotebook.workbook.refusals import damaged
from quotebook.workbook.restyle import restyled
from quotebook.workbook.snapshot import Snapshot
from quotebook.workbook.workbook_part import read_workbook_part
from quotebook.workbook.xml_parts import Element, child, children, parse_xml, whole

_CONTENT_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_STRICT = "http://purl.oclc.org/ooxml"


@dataclass(frozen=True, slots=True)
class Mark:
    """What one cell gets. ``color``: RRGGBB of the hatching; ``note``: text of the note, on a cell that has none."""

    color: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Earlier:
    """Marks of an earlier time. ``grounds``: RRGGBB that each marked cell had before, "" for none.

    ``list_part``: the part of the sheet that is to be written anew; "" adds a sheet.
    """

    grounds: Mapping[Address, str] = field(default_factory=dict)
    list_part: str = ""


def marked_package(
    package: Package,
    snapshot: Snapshot,
    marks: Mapping[Address, Mark],
    title: str,
    rows: Sequence[SheetRow],
    widths: Sequence[float],
    earlier: Earlier = Earlier(),
) -> bytes:
    """Return the bytes of the package with marks and the added sheet.

    ``snapshot``: the package as read, with all its sheets. ``rows``: the added sheet, its first row the headings; a
    text is always text, never a formula. ``title``: changed where a sheet of that title is there already.
    """
    workbook = read_workbook_part(package)
    parts = _Parts(package)
    styles_part = workbook.related("styles")
    styles_part = package.find(styles_part) if styles_part else None
    looks = None
    if styles_part is not None:
        root = parse_xml(package.read(styles_part), package.where(styles_part))
        looks = MarkLooks(root)
        _mark_sheets(package, snapshot, marks, earlier.grounds, looks, parts)
    book = parse_xml(package.read(workbook.name), package.where(workbook.name))
    list_part = package.find(earlier.list_part) if earlier.list_part else None
    if list_part is None:
        list_part = _free_part(package)
        _add_list(package, snapshot, workbook.name, book, list_part, title, parts)
    parts.written[list_part] = list_sheet_xml(rows, widths, etree.QName(book).namespace, looks)
    if looks is not None and styles_part is not None:
        parts.written[styles_part] = _bytes(looks.root)
    return _with_parts(package, parts)


def _add_list(
    package: Package, snapshot: Snapshot, workbook: str, book: Element, part: str, title: str, parts: _Parts
) -> None:
    relations_part = _relations_name(package, workbook)
    relations = parse_xml(package.read(relations_part), package.where(relations_part))
    identity = _free_identity(relations)
    strict = etree.QName(book).namespace.startswith(_STRICT)
    _add_sheet(book, _free_title(snapshot, title), identity, strict)
    _add_relation(relations, identity, part, strict)
    parts.types[part] = _CONTENT_TYPE
    parts.written |= {workbook: _bytes(book), relations_part: _bytes(relations)}


class _Parts:
    """What is written: parts that replace others or are new, and the content types of the new ones."""

    def __init__(self, package: Package) -> None:
        self.written: dict[str, bytes] = {}
        self.types: dict[str, str] = {}
        self._package = package

    def with_types(self) -> dict[str, bytes]:
        """Return the parts with the list of content types, which is written only where it must change."""
        if not self.types:
            return self.written
        name = self._package.find("[Content_Types].xml")
        if name is None:
            raise damaged(str(self._package.path), "no list of content types", "a workbook package")
        root = parse_xml(self._package.read(name), self._package.where(name))
        endings = {one.get("Extension", "").lower() for one in children(root, "Default")}
        if VML_TYPE in self.types.values() and "vml" not in endings:
            etree.SubElement(root, f"{{{_TYPES}}}Default", Extension="vml", ContentType=VML_TYPE)
        for part, kind in self.types.items():
            if kind != VML_TYPE:
                etree.SubElement(root, f"{{{_TYPES}}}Override", PartName=f"/{part}", ContentType=kind)
        return {**self.written, name: _bytes(root)}


# -- marks --------------------------------------------------------------------------------------


def _mark_sheets(
    package: Package,
    snapshot: Snapshot,
    marks: Mapping[Address, Mark],
    grounds: Mapping[Address, str],
    looks: MarkLooks,
    parts: _Parts,
) -> None:
    taken: set[str] = set()
    for title in dict.fromkeys(place.sheet for place in (*grounds, *marks)):
        sheet = snapshot.sheet(title)
        if sheet is None:
            continue
        here = {(place.row, place.column): mark for place, mark in marks.items() if place.sheet == title}
        old = {(place.row, place.column): ground for place, ground in grounds.items() if place.sheet == title}
        formats = {}
        for key in {**old, **here}:
            cell = sheet.cells.get(key)
            style = cell.style if cell is not None else 0
            formats[key] = looks.marked(style, here[key].color) if key in here else looks.plain(style, old[key])
        data = restyled(package.read(sheet.part), package.where(sheet.part), formats)
        notes = {key: mark.note for key, mark in here.items() if mark.note}
        written, types = with_notes(package, sheet.part, data, notes, set(old), taken)
        parts.written |= written
        parts.types |= types


# -- the added sheet ----------------------------------------------------------------------------


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


def _with_parts(package: Package, parts: _Parts) -> bytes:
    buffer, waiting = io.BytesIO(), parts.with_types()
    with zipfile.ZipFile(buffer, "w") as archive:
        for entry in package.entries:
            name = plain_name(entry.filename)
            twin = zipfile.ZipInfo(entry.filename, entry.date_time)
            twin.compress_type = entry.compress_type
            twin.external_attr = entry.external_attr
            twin.create_system = entry.create_system
            replaced = waiting.pop(name, None)
            archive.writestr(twin, package.read_entry(entry) if replaced is None else replaced)
        for name, content in sorted(waiting.items()):
            fresh = zipfile.ZipInfo(name, package.entries[0].date_time)
            fresh.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(fresh, content)
    return buffer.getvalue()
