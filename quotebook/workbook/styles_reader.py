"""Cell formats from the styles part: number format, protection, colours."""

from __future__ import annotations

from quotebook.workbook.number_formats import built_in_format, is_date_format
from quotebook.workbook.package import Package
from quotebook.workbook.snapshot import Style
from quotebook.workbook.xml_parts import Element, child, children, flag, parse_xml, whole


def read_styles(package: Package, part: str | None) -> tuple[Style, ...]:
    """Return the cell formats in file order; one plain style if the file has none."""
    return (Style(),) if part is None else package.made_of(part, _styles)


def _styles(data: bytes, where: str) -> tuple[Style, ...]:
    root = parse_xml(data, where)
    formats = {
        whole(element.get("numFmtId")): element.get("formatCode", "General")
        for element in children(child(root, "numFmts"), "numFmt")
    }
    fonts = [_color(child(font, "color")) for font in children(child(root, "fonts"), "font")]
    fills = [_fill(fill) for fill in children(child(root, "fills"), "fill")]
    styles = tuple(_style(xf, formats, fonts, fills) for xf in children(child(root, "cellXfs"), "xf"))
    return styles or (Style(),)


def _style(xf: Element, formats: dict[int, str], fonts: list[str], fills: list[str]) -> Style:
    number = whole(xf.get("numFmtId"))
    code = formats.get(number) or built_in_format(number)
    protection = child(xf, "protection")
    font, fill = whole(xf.get("fontId")), whole(xf.get("fillId"))
    return Style(
        number_format=code,
        locked=True if protection is None else flag(protection.get("locked"), default=True),
        hidden_formula=False if protection is None else flag(protection.get("hidden")),
        is_date=is_date_format(code),
        font_color=fonts[font] if font < len(fonts) else "",
        fill_color=fills[fill] if fill < len(fills) else "",
    )


def _fill(fill: Element) -> str:
    pattern = child(fill, "patternFill")
    if pattern is None or pattern.get("patternType", "none") == "none":
        return ""
    return _color(child(pattern, "fgColor"))


def _color(element: Element | None) -> str:
    """Return "RRGGBB" in capitals, "theme:4" or "indexed:9" where the file names a palette, "" for none."""
    if element is None:
        return ""
    if element.get("rgb"):
        return str(element.get("rgb"))[-6:].upper()
    for palette in ("theme", "indexed"):
        if element.get(palette) is not None:
            return f"{palette}:{whole(element.get(palette))}"
    return ""
