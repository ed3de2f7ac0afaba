"""A copy of a workbook with marks on cells and one more sheet; every part that need not change stays byte for byte.

A mark is a hatched ground over the cell's own format and a note. The added sheet holds texts, numbers and links within
the file. Marks and sheet of an earlier time are replaced.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

from quotebook.values import Address
from quotebook.workbook.list_sheet import SheetRow, list_sheet_xml
from quotebook.workbook.mark_looks import MarkLooks
from quotebook.workbook.notes import add_notes
from quotebook.workbook.package import Package
from quotebook.workbook.package_edit import OFFICE, STRICT_OFFICE, PackageEdit
from quotebook.workbook.restyle import restyled
from quotebook.workbook.snapshot import Snapshot
from quotebook.workbook.workbook_part import read_workbook_part
from quotebook.workbook.xml_parts import Element, child, children, whole

_CONTENT_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"
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
    edit = PackageEdit(package)
    styles_part = workbook.related("styles")
    styles_part = package.find(styles_part) if styles_part else None
    looks = None
    if styles_part is not None:
        looks = MarkLooks(edit.root(styles_part, ""))
        _mark_sheets(edit, snapshot, marks, earlier.grounds, looks)
    book = edit.root(workbook.name, "")
    list_part = package.find(earlier.list_part) if earlier.list_part else None
    if list_part is None:
        list_part = edit.free("xl/worksheets/sheet{}.xml")
        _add_list(edit, _free_title(snapshot, title), workbook.name, book, list_part)
    edit.changed[list_part] = list_sheet_xml(rows, widths, etree.QName(book).namespace, looks)
    if looks is not None and styles_part is not None:
        edit.put(styles_part, looks.root)
    return edit.content()


def _add_list(edit: PackageEdit, title: str, workbook: str, book: Element, part: str) -> None:
    office = STRICT_OFFICE if etree.QName(book).namespace.startswith(_STRICT) else OFFICE
    identity = edit.link(workbook, "worksheet", part, office)
    sheets = child(book, "sheets")
    numbers = [whole(sheet.get("sheetId")) for sheet in children(sheets, "sheet")]
    element = etree.SubElement(sheets, f"{{{etree.QName(book).namespace}}}sheet")
    element.set("name", title)
    element.set("sheetId", str(max(numbers, default=0) + 1))
    element.set(f"{{{office}}}id", identity)
    edit.declare(part, _CONTENT_TYPE)
    edit.put(workbook, book)


# -- marks --------------------------------------------------------------------------------------


def _mark_sheets(
    edit: PackageEdit,
    snapshot: Snapshot,
    marks: Mapping[Address, Mark],
    grounds: Mapping[Address, str],
    looks: MarkLooks,
) -> None:
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
        edit.changed[sheet.part] = restyled(edit.read(sheet.part), edit.package.where(sheet.part), formats)
        notes = {key: mark.note for key, mark in here.items() if mark.note}
        add_notes(edit, sheet.part, notes, set(old))


# -- the added sheet ----------------------------------------------------------------------------


def _free_title(snapshot: Snapshot, title: str) -> str:
    taken = {sheet.title.casefold() for sheet in snapshot.sheets}
    number, wanted = 1, title
    while wanted.casefold() in taken:
        number += 1
        wanted = f"{title} {number}"
    return wanted
