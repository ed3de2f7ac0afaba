"""Charts put on a sheet of an existing package; what is already drawn there, and every other part, stays.

A chart that a sheet holds under the same name is replaced by the new one.
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping, Sequence

from quotebook.workbook.chart_maker import SheetChart, chart_parts
from quotebook.workbook.package import Package
from quotebook.workbook.package_edit import OFFICE, PackageEdit
from quotebook.workbook.refusals import damaged
from quotebook.workbook.relationships import resolve
from quotebook.workbook.snapshot import Snapshot
from quotebook.workbook.xml_parts import Element, children, parse_xml

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


def added_charts(
    package: Package, snapshot: Snapshot, title: str, charts: Sequence[SheetChart], replaced: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Return all parts that are changed or new when charts are put on a sheet.

    ``title``: of a sheet that is there. ``replaced``: parts changed already, which are among those returned.
    """
    sheet = snapshot.sheet(title)
    assert sheet is not None
    parts = PackageEdit(package, replaced)
    drawing = _drawing_of(parts, sheet.part)
    root = parts.root(
        drawing, f'<xdr:wsDr xmlns:xdr="{_DRAWING}" xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"/>'
    )
    links = parts.links(drawing)
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
            part = parts.free("xl/charts/chart{}.xml")
            identity = parts.link(drawing, "chart", part)
            parts.declare(part, _CHART_TYPE)
            root.append(anchor)
        parts.changed[part] = content
        _set_chart_link(anchor, identity)
    _number(root)
    parts.put(drawing, root)
    return parts.changed


def _drawing_of(parts: PackageEdit, sheet: str) -> str:
    """Return the drawing of a sheet; one is made, and the sheet made to point to it, where there is none."""
    data = parts.read(sheet)
    drawn = _DRAWN.search(data)
    target = _target(parts.links(sheet), drawn[1].decode()) if drawn is not None else ""
    if target:
        return resolve(parts.package, posixpath.dirname(sheet), target)
    places = list(_LATER.finditer(data, max(data.rfind(b"sheetData"), 0)))
    if not places:
        raise damaged(parts.package.where(sheet), "no end of the sheet", "a worksheet")
    prefix = re.search(rb"</(\w+:)?worksheet\s*>", data)
    own = (prefix[1] or b"") if prefix is not None else b""
    drawing = parts.free("xl/drawings/drawing{}.xml")
    identity = parts.link(sheet, "drawing", drawing)
    element = b'<%sdrawing xmlns:r="%s" r:id="%s"/>' % (own, OFFICE.encode(), identity.encode())
    at = places[0].start()
    parts.changed[sheet] = data[:at] + element + data[at:]
    parts.declare(drawing, _DRAWING_TYPE)
    return drawing


def _target(links: Element, identity: str) -> str:
    found = (each.get("Target", "") for each in children(links, "Relationship") if each.get("Id") == identity)
    return next(found, "")


def _anchor_named(root: Element, name: str) -> Element | None:
    for anchor in root:
        if any(each.get("name") == name for each in anchor.iter(f"{{{_DRAWING}}}cNvPr")):
            return anchor
    return None


def _chart_link(anchor: Element) -> str:
    found = (each.get(f"{{{OFFICE}}}id", "") for each in anchor.iter(f"{{{_CHART}}}chart"))
    return next(found, "")


def _set_chart_link(anchor: Element, identity: str) -> None:
    for each in anchor.iter(f"{{{_CHART}}}chart"):
        each.set(f"{{{OFFICE}}}id", identity)


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
