"""Charts put on a sheet of an existing package; what is already drawn there, and every other part, stays.

A chart that a sheet holds under the same name is replaced by the new one.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lxml import etree

from quotebook.workbook.chart_maker import SheetChart, chart_parts
from quotebook.workbook.package import Package
from quotebook.workbook.refusals import damaged
from quotebook.workbook.relationships import resolve
from quotebook.workbook.snapshot import Snapshot
from quotebook.workbook.xml_parts import Element, children, parse_xml

_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
_DRAWING = "http://schemas.openxmlformats.org/drawingml/2006/spreadsheetDrawing"
_CHART = "http://schemas.openxmlformats.org/drawingml/2006/chart"
_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.drawing+xml"
_CHART_TYPE = "application/vnd.openxmlformats-officedocument.drawingml.chart+xml"
#: What comes after the drawing in a worksheet (the standard fixes the order).
_LATER = re.compile(
    rb"<(?:\w+:)?(?:legacyDrawing|legacyDrawingHF|drawingHF|picture|oleObjects|controls|webPublishItems|tableParts|extLst)"
    rb"[\s/>]|</(?:\w+:)?worksheet\s*>"
)
_DRAWN = re.compile(rb"<(?:\w+:)?drawing\s[^>]*?\bid\s*=\s*[\"']([^\"']+)[\"'][^>]*>")


@dataclass(slots=True)
class _Parts:
    """Parts changed and added so far, over those of the package."""

    package: Package
    changed: dict[str, bytes] = field(default_factory=dict)

    def has(self, name: str) -> bool:
        return name in self.changed or self.package.find(name) is not None

    def root(self, name: str, empty: str) -> Element:
        """Return a part as XML, or ``empty`` where there is none."""
        if name in self.changed:
            return parse_xml(self.changed[name], name)
        found = self.package.find(name)
        return parse_xml(empty.encode() if found is None else self.package.read(found), name)

    def put(self, name: str, root: Element) -> None:
        written: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True, standalone=True)
        self.changed[self.package.find(name) or name] = written

    def free(self, pattern: str) -> str:
        number = 1
        while self.has(pattern.format(number)):
            number += 1
        return pattern.format(number)


def added_charts(
    package: Package, snapshot: Snapshot, title: str, charts: Sequence[SheetChart], replaced: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Return all parts that are changed or new when charts are put on a sheet.

    ``title``: of a sheet that is there. ``replaced``: parts changed already, which are among those returned.
    """
    sheet = snapshot.sheet(title)
    assert sheet is not None
    parts = _Parts(package, dict(replaced))
    drawing = _drawing_of(parts, sheet.part)
    root = parts.root(
        drawing, f'<xdr:wsDr xmlns:xdr="{_DRAWING}" xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"/>'
    )
    links_name = _links_of(drawing)
    links = parts.root(links_name, f'<Relationships xmlns="{_RELATIONS}"/>')
    for chart, (content, anchor) in zip(
        charts, chart_parts(sheet.title, charts, _widths(package, sheet.part)), strict=True
    ):
        old = _anchor_named(root, chart.name)
        known = _chart_link(old) if old is not None else ""
        target = _target(links, known)
        if old is not None and target:
            part = resolve(package, posixpath.dirname(drawing), target)
            identity = known
            old.getparent().replace(old, anchor)
        else:
            part, identity = parts.free("xl/charts/chart{}.xml"), _free_identity(links)
            _link(links, identity, "chart", f"/{part}")
            _declare(parts, part, _CHART_TYPE)
            root.append(anchor)
        parts.changed[part] = content
        _set_chart_link(anchor, identity)
    _number(root)
    parts.put(drawing, root)
    parts.put(links_name, links)
    return parts.changed


def _drawing_of(parts: _Parts, sheet: str) -> str:
    """Return the drawing of a sheet; one is made, and the sheet made to point to it, where there is none."""
    data = parts.changed.get(sheet) or parts.package.read(sheet)
    links_name = _links_of(sheet)
    links = parts.root(links_name, f'<Relationships xmlns="{_RELATIONS}"/>')
    drawn = _DRAWN.search(data)
    target = _target(links, drawn[1].decode()) if drawn is not None else ""
    if target:
        return resolve(parts.package, posixpath.dirname(sheet), target)
    places = list(_LATER.finditer(data, max(data.rfind(b"sheetData"), 0)))
    if not places:
        raise damaged(parts.package.where(sheet), "no end of the sheet", "a worksheet")
    prefix = re.search(rb"</(\w+:)?worksheet\s*>", data)
    own = (prefix[1] or b"") if prefix is not None else b""
    identity, drawing = _free_identity(links), parts.free("xl/drawings/drawing{}.xml")
    element = b'<%sdrawing xmlns:r="%s" r:id="%s"/>' % (own, _OFFICE.encode(), identity.encode())
    at = places[0].start()
    parts.changed[sheet] = data[:at] + element + data[at:]
    _link(links, identity, "drawing", f"/{drawing}")
    parts.put(links_name, links)
    _declare(parts, drawing, _DRAWING_TYPE)
    return drawing


def _links_of(part: str) -> str:
    folder, base = posixpath.split(part)
    return f"{folder}/_rels/{base}.rels"


def _target(links: Element, identity: str) -> str:
    found = (each.get("Target", "") for each in children(links, "Relationship") if each.get("Id") == identity)
    return next(found, "")


def _link(links: Element, identity: str, kind: str, target: str) -> None:
    etree.SubElement(links, f"{{{_RELATIONS}}}Relationship", Id=identity, Type=f"{_OFFICE}/{kind}", Target=target)


def _free_identity(links: Element) -> str:
    taken = {each.get("Id") for each in children(links, "Relationship")}
    number = 1
    while f"rIdC{number}" in taken:
        number += 1
    return f"rIdC{number}"


def _declare(parts: _Parts, part: str, kind: str) -> None:
    name = parts.package.find("[Content_Types].xml")
    if name is None:
        raise damaged(str(parts.package.path), "no list of content types", "a workbook package")
    root = parts.root(name, "")
    etree.SubElement(root, f"{{{_TYPES}}}Override", PartName=f"/{part}", ContentType=kind)
    parts.put(name, root)


def _anchor_named(root: Element, name: str) -> Element | None:
    for anchor in root:
        if any(each.get("name") == name for each in anchor.iter(f"{{{_DRAWING}}}cNvPr")):
            return anchor
    return None


def _chart_link(anchor: Element) -> str:
    found = (each.get(f"{{{_OFFICE}}}id", "") for each in anchor.iter(f"{{{_CHART}}}chart"))
    return next(found, "")


def _set_chart_link(anchor: Element, identity: str) -> None:
    for each in anchor.iter(f"{{{_CHART}}}chart"):
        each.set(f"{{{_OFFICE}}}id", identity)


def _number(root: Element) -> None:
    """Give every shape of a drawing a number of its own, keeping those of others."""
    taken: set[str] = set()
    for each in root.iter(f"{{{_DRAWING}}}cNvPr"):
        number = each.get("id", "")
        while number in taken or not number:
            number = str(int(number or 1) + 1)
        taken.add(number)
        each.set("id", number)


def _widths(package: Package, sheet: str) -> list[float]:
    """Return the widths of a sheet's first columns, in characters."""
    widths = [8.43] * 40
    root = parse_xml(package.read(sheet), package.where(sheet))
    for column in root.iter("{*}col"):
        try:
            first, last, width = int(column.get("min")), int(column.get("max")), float(column.get("width"))
        except (TypeError, ValueError):
            continue
        for number in range(max(first, 1), min(last, len(widths)) + 1):
            widths[number - 1] = width
    return widths
