"""Notes on cells, put into a package: the texts, the boxes that show them, and what points to both.

A note lives in two parts, the list of texts and a drawing in an old form (VML) that every spreadsheet program still
wants. A person's own notes stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from xml.parsers import expat

from lxml import etree

from quotebook.workbook.areas import cell_name, parse_cell
from quotebook.workbook.package import Package
from quotebook.workbook.package_edit import OFFICE, STRICT_OFFICE, PackageEdit
from quotebook.workbook.refusals import damaged
from quotebook.workbook.relationships import relations_of
from quotebook.workbook.sheet_scan import utf8_part
from quotebook.workbook.text_escapes import escaped
from quotebook.workbook.xml_parts import Element, child, children, parse_xml

Key = tuple[int, int]
COMMENTS_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.comments+xml"
VML_TYPE = "application/vnd.openxmlformats-officedocument.vmlDrawing"
AUTHOR = "quotebook"
#: Elements of a sheet that stand after the pointer to the drawing of its notes.
_AFTER = frozenset(
    {"legacyDrawingHF", "drawingHF", "picture", "oleObjects", "controls", "webPublishItems", "tableParts", "extLst"}
)
_ROW_COLUMN = re.compile(rb"<x:Row>\s*(\d+)\s*</x:Row>.*?<x:Column>\s*(\d+)\s*</x:Column>", re.DOTALL)
_SHAPE = re.compile(rb"<v:shape\b.*?</v:shape>", re.DOTALL)
_EMPTY_DRAWING = (
    b'<xml xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
    b' xmlns:x="urn:schemas-microsoft-com:office:excel"><o:shapelayout v:ext="edit"><o:idmap v:ext="edit" data="1"/>'
    b'</o:shapelayout><v:shapetype id="_x0000_t202" coordsize="21600,21600" o:spt="202"'
    b' path="m,l,21600r21600,l21600,xe"><v:stroke joinstyle="miter"/><v:path gradientshapeok="t"'
    b' o:connecttype="rect"/></v:shapetype></xml>'
)


def add_notes(edit: PackageEdit, part: str, notes: Mapping[Key, str], removed: Collection[Key]) -> None:
    """Let a sheet carry notes. ``part``: the sheet's.

    ``removed``: cells whose note is taken away first; a cell that has a note still keeps it.
    Errors: NotAWorkbook when a part that is there already cannot be read.
    """
    package, sheet = edit.package, edit.read(part)
    there = {one.kind: package.find(one.target) for one in relations_of(package, part).values() if not one.external}
    comments_part, drawing_part = there.get("comments"), there.get("vmldrawing")
    root = _comments(package, comments_part, sheet)
    texts = child(root, "commentList")
    if texts is None:
        texts = etree.SubElement(root, f"{{{etree.QName(root).namespace}}}commentList")
    _take_away(texts, removed)
    taken = {parse_cell(one.get("ref", "")) for one in children(texts, "comment")}
    fresh = {key: text for key, text in sorted(notes.items()) if key not in taken}
    if not fresh and comments_part is None:
        return
    _add_texts(root, texts, fresh)
    drawing = package.read(drawing_part) if drawing_part is not None else _EMPTY_DRAWING
    office = STRICT_OFFICE if b"purl.oclc.org/ooxml/spreadsheetml" in sheet[:4096] else OFFICE
    if comments_part is None:
        comments_part = edit.free("xl/comments{}.xml")
        edit.declare(comments_part, COMMENTS_TYPE)
        edit.link(part, "comments", comments_part, office)
    edit.put(comments_part, root)
    if drawing_part is None:
        drawing_part = edit.free("xl/drawings/vmlDrawing{}.vml")
        edit.declare_ending("vml", VML_TYPE)
        identity = edit.link(part, "vmlDrawing", drawing_part, office)
        edit.changed[part] = _with_pointer(sheet, identity, office, package.where(part))
    edit.changed[drawing_part] = _drawing(drawing, fresh, removed, package.where(drawing_part))


def _comments(package: Package, part: str | None, sheet: bytes) -> Element:
    if part is not None:
        return parse_xml(package.read(part), package.where(part))
    namespace = re.search(rb'xmlns(?::\w+)?="([^"]*spreadsheetml/main)"', sheet)
    name = namespace[1].decode() if namespace else "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    root = etree.Element(f"{{{name}}}comments", nsmap={None: name})
    etree.SubElement(root, f"{{{name}}}authors")
    etree.SubElement(root, f"{{{name}}}commentList")
    return root


def _take_away(texts: Element, removed: Collection[Key]) -> None:
    for one in children(texts, "comment"):
        if parse_cell(one.get("ref", "")) in removed:
            texts.remove(one)


def _add_texts(root: Element, texts: Element, fresh: Mapping[Key, str]) -> None:
    name = etree.QName(root).namespace
    authors = child(root, "authors")
    if authors is None:
        authors = etree.Element(f"{{{name}}}authors")
        root.insert(0, authors)
    known = [one.text or "" for one in children(authors, "author")]
    if AUTHOR not in known:
        etree.SubElement(authors, f"{{{name}}}author").text = AUTHOR
        known.append(AUTHOR)
    for key, text in fresh.items():
        one = etree.SubElement(texts, f"{{{name}}}comment", ref=cell_name(*key), authorId=str(known.index(AUTHOR)))
        body = etree.SubElement(etree.SubElement(one, f"{{{name}}}text"), f"{{{name}}}t")
        body.text = escaped(text)
        body.set("{http://www.w3.org/XML/1998/namespace}space", "preserve")


def _drawing(data: bytes, fresh: Iterable[Key], removed: Collection[Key], where: str) -> bytes:
    """Return the drawing with a box for each fresh note and none for a removed one; other shapes stay byte for byte."""

    def kept(match: re.Match[bytes]) -> bytes:
        place = _ROW_COLUMN.search(match[0])
        gone = place is not None and (int(place[1]) + 1, int(place[2]) + 1) in removed
        return b"" if gone else match[0]

    data = _SHAPE.sub(kept, data) if removed else data
    end = data.rfind(b"</xml>")
    if end < 0:
        raise damaged(where, "a drawing of notes without an end", "a drawing that ends")
    taken = [int(number) for number in re.findall(rb'id="_x0000_s(\d+)"', data)]
    start = max([1024, *taken]) + 1
    shapes = "".join(_box(start + number, *key) for number, key in enumerate(fresh))
    return data[:end] + shapes.encode() + data[end:]


def _box(number: int, row: int, column: int) -> str:
    top, left = row - 1, column - 1
    anchor = f"{left + 1}, 12, {max(top - 1, 0)}, 4, {left + 5}, 40, {top + 9}, 4"
    return (
        f'<v:shape xmlns:v="urn:schemas-microsoft-com:vml" xmlns:o="urn:schemas-microsoft-com:office:office"'
        f' xmlns:x="urn:schemas-microsoft-com:office:excel" id="_x0000_s{number}" type="#_x0000_t202"'
        ' style="position:absolute;width:260pt;height:120pt;z-index:1;visibility:hidden" fillcolor="#fff8e1"'
        ' o:insetmode="auto"><v:fill color2="#fff8e1"/><v:shadow on="t" color="black" obscured="t"/>'
        '<v:path o:connecttype="none"/><v:textbox style="mso-direction-alt:auto"><div style="text-align:left"/>'
        '</v:textbox><x:ClientData ObjectType="Note"><x:MoveWithCells/><x:SizeWithCells/>'
        f"<x:Anchor>{anchor}</x:Anchor><x:AutoFill>False</x:AutoFill><x:Row>{top}</x:Row>"
        f"<x:Column>{left}</x:Column></x:ClientData></v:shape>"
    )


def _with_pointer(sheet: bytes, identity: str, namespace: str, where: str) -> bytes:
    """Return the sheet with the element that names the drawing of its notes, at the place the format demands."""
    sheet = utf8_part(sheet, where)
    place, prefix = _place(sheet)
    text = f'<{prefix}legacyDrawing xmlns:nr="{namespace}" nr:id="{identity}"/>'
    edited = sheet[:place] + text.encode() + sheet[place:]
    parse_xml(edited, where)  # never hand out a part that could not be read again
    return edited


def _place(sheet: bytes) -> tuple[int, str]:
    """Return where the pointer goes, and the prefix of the sheet's elements with its colon."""
    depth, prefix = 0, ""
    places: list[int] = []
    parser = expat.ParserCreate()

    def start(name: str, _attributes: dict[str, str]) -> None:
        nonlocal depth, prefix
        if depth == 0 and ":" in name:
            prefix = name.partition(":")[0] + ":"
        if depth == 1 and (name.rpartition(":")[2] in _AFTER or name == "mc:AlternateContent"):
            places.append(parser.CurrentByteIndex)
        elif depth == 1:
            places.clear()  # what was taken for one of the last elements stands before another one
        depth += 1

    def end(_name: str) -> None:
        nonlocal depth
        depth -= 1
        if depth == 0:
            places.append(parser.CurrentByteIndex)

    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.Parse(sheet, True)
    return places[0], prefix
