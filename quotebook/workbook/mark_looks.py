"""The formats of a marked copy: twins of others on another ground, and those of the list of findings."""

from __future__ import annotations

import copy

from lxml import etree

from quotebook.workbook.xml_parts import Element, child, children


class MarkLooks:
    """Adds formats to a styles part: twins of others with another ground, and those of the list."""

    def __init__(self, root: Element) -> None:
        self.root = root
        self._namespace = etree.QName(root).namespace
        self._fills: dict[tuple[str, str], int] = {}
        self._formats: dict[tuple[int, str, str], int] = {}

    def marked(self, style: int, color: str) -> int:
        """Return the number of the format that looks like another one and is hatched."""
        return self._twin(style, "lightUp", color)

    def plain(self, style: int, ground: str) -> int:
        """Return the number of the format that looks like another one on a plain ground, "" for none."""
        return self._twin(style, "solid" if ground else "none", ground)

    def of_list(self, *, bold: bool = False) -> int:
        """Return the number of the list's format: set from the top, broken into lines."""
        listed = self._listed()
        made = etree.Element(f"{{{self._namespace}}}xf", numFmtId="0", fontId="0", fillId="0", borderId="0", xfId="0")
        if bold:
            made.set("fontId", str(self._bold_font()))
            made.set("applyFont", "1")
        made.set("applyAlignment", "1")
        etree.SubElement(made, f"{{{self._namespace}}}alignment", vertical="top", wrapText="1")
        listed.append(made)
        return self._counted(listed, "xf")

    def _twin(self, style: int, pattern: str, color: str) -> int:
        key = style, pattern, color
        if key not in self._formats:
            listed = self._listed()
            known = children(listed, "xf")
            twin = copy.deepcopy(known[style] if style < len(known) else known[0])
            twin.set("fillId", str(self._fill(pattern, color)))
            twin.set("applyFill", "1")
            listed.append(twin)
            self._formats[key] = self._counted(listed, "xf")
        return self._formats[key]

    def _listed(self) -> Element:
        formats = child(self.root, "cellXfs")
        if formats is None:
            formats = self._added("cellXfs")
        if not children(formats, "xf"):
            etree.SubElement(formats, f"{{{self._namespace}}}xf")
        return formats

    def _fill(self, pattern: str, color: str) -> int:
        if (pattern, color) not in self._fills:
            fills = child(self.root, "fills")
            if fills is None:
                fills = self._added("fills")
            fill = etree.SubElement(fills, f"{{{self._namespace}}}fill")
            inside = etree.SubElement(fill, f"{{{self._namespace}}}patternFill", patternType=pattern)
            if color:
                etree.SubElement(inside, f"{{{self._namespace}}}fgColor", rgb=f"FF{color}")
                etree.SubElement(inside, f"{{{self._namespace}}}bgColor", rgb="FFFFFFFF")
            self._fills[pattern, color] = self._counted(fills, "fill")
        return self._fills[pattern, color]

    def _bold_font(self) -> int:
        fonts = child(self.root, "fonts")
        if fonts is None or not children(fonts, "font"):
            return 0
        font = copy.deepcopy(children(fonts, "font")[0])
        if child(font, "b") is None:
            font.insert(0, etree.Element(f"{{{self._namespace}}}b"))
        fonts.append(font)
        return self._counted(fonts, "font")

    @staticmethod
    def _counted(listed: Element, name: str) -> int:
        """Write the count of a list anew and return the number of its last element."""
        count = len(children(listed, name))
        listed.set("count", str(count))
        return count - 1

    def _added(self, name: str) -> Element:
        element = etree.Element(f"{{{self._namespace}}}{name}")
        self.root.insert(0, element)
        return element
