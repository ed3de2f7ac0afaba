"""Parts of a package replaced and added, what points to them, and the package written with them.

Everything that edits a package goes through here, so that relations and content types are kept by one rule and every
part that nobody touched stays byte for byte.
"""

from __future__ import annotations

import io
import posixpath
import zipfile
from collections.abc import Collection, Mapping

from lxml import etree

from quotebook.workbook.package import Package
from quotebook.workbook.package_limits import plain_name
from quotebook.workbook.refusals import damaged
from quotebook.workbook.xml_parts import Element, children, parse_xml

OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
STRICT_OFFICE = "http://purl.oclc.org/ooxml/officeDocument/relationships"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"


class PackageEdit:
    """Parts changed and added so far, over those of a package. ``changed``: name of the part to its bytes."""

    def __init__(self, package: Package, changed: Mapping[str, bytes] | None = None) -> None:
        self.package = package
        self.changed = dict(changed or {})

    def has(self, name: str) -> bool:
        """Tell whether there is a part of this name."""
        return name in self.changed or self.package.find(name) is not None

    def read(self, name: str) -> bytes:
        """Return a part as it is by now."""
        return self.changed[name] if name in self.changed else self.package.read(name)

    def root(self, name: str, empty: str) -> Element:
        """Return a part as XML, ``empty`` where there is none. Errors: NotAWorkbook for one that cannot be read."""
        found = self.package.find(name)
        if name in self.changed or found is not None:
            return parse_xml(self.read(found or name), self.package.where(name))
        return parse_xml(empty.encode(), name)

    def put(self, name: str, root: Element) -> None:
        """Write a part."""
        written: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True, standalone=True)
        self.changed[self.package.find(name) or name] = written

    def free(self, pattern: str) -> str:
        """Return a name that no part has yet. ``pattern``: as ``xl/comments{}.xml``."""
        number = 1
        while self.has(pattern.format(number)):
            number += 1
        return pattern.format(number)

    def links(self, part: str) -> Element:
        """Return the relations of a part; a part without any has none yet."""
        return self.root(links_name(part), f'<Relationships xmlns="{_RELATIONS}"/>')

    def link(self, part: str, kind: str, target: str, office: str = OFFICE) -> str:
        """Let a part point to another one and return the new relation's identity. ``kind``: as ``worksheet``."""
        links = self.links(part)
        taken = {one.get("Id") for one in children(links, "Relationship")}
        number = 1
        while f"rIdQ{number}" in taken:
            number += 1
        identity = f"rIdQ{number}"
        etree.SubElement(
            links, f"{{{_RELATIONS}}}Relationship", Id=identity, Type=f"{office}/{kind}", Target=f"/{target}"
        )
        self.put(links_name(part), links)
        return identity

    def declare(self, part: str, kind: str) -> None:
        """Say of which kind a new part is."""
        root = self._types()
        etree.SubElement(root, f"{{{_TYPES}}}Override", PartName=f"/{part}", ContentType=kind)
        self.put("[Content_Types].xml", root)

    def declare_ending(self, ending: str, kind: str) -> None:
        """Say of which kind all parts with an ending are, where that is not said yet."""
        root = self._types()
        if ending not in {one.get("Extension", "").lower() for one in children(root, "Default")}:
            etree.SubElement(root, f"{{{_TYPES}}}Default", Extension=ending, ContentType=kind)
            self.put("[Content_Types].xml", root)

    def content(self, dropped: Collection[str] = ()) -> bytes:
        """Return the package: the same parts in the same order, packed and dated alike, then the new ones by name."""
        buffer, package = io.BytesIO(), self.package
        with zipfile.ZipFile(buffer, "w") as archive:
            for entry in package.entries:
                name = plain_name(entry.filename)
                if name in dropped:
                    continue
                copy = zipfile.ZipInfo(entry.filename, entry.date_time)
                copy.compress_type = entry.compress_type
                copy.external_attr = entry.external_attr
                copy.internal_attr = entry.internal_attr
                copy.create_system = entry.create_system
                copy.comment = entry.comment
                archive.writestr(copy, self.changed[name] if name in self.changed else package.read_entry(entry))
            for name in sorted(name for name in self.changed if package.find(name) is None):
                fresh = zipfile.ZipInfo(name, package.entries[0].date_time)
                fresh.compress_type = zipfile.ZIP_DEFLATED
                archive.writestr(fresh, self.changed[name])
        return buffer.getvalue()

    def _types(self) -> Element:
        if self.package.find("[Content_Types].xml") is None:
            raise damaged(str(self.package.path), "no list of content types", "a workbook package")
        return self.root("[Content_Types].xml", "")


def links_name(part: str) -> str:
    """Return the part that holds the relations of a part."""
    folder, base = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{base}.rels")
