"""A picture as SVG text; a picture of boxes, lines and words needs no library."""

from __future__ import annotations

from quotebook.pictures.shapes import Box, Line, Picture, Words


def svg_text(picture: Picture) -> str:
    """Return the picture as an SVG document."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{picture.width}" height="{picture.height}" '
        f'viewBox="0 0 {picture.width} {picture.height}" role="img" font-family="sans-serif">',
        f"<title>{_escaped(picture.title)}</title>",
        f"<desc>{_escaped(picture.description)}</desc>",
        f'<rect width="{picture.width}" height="{picture.height}" fill="#ffffff"/>',
        *map(_shape, picture.shapes),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _shape(shape: Box | Line | Words) -> str:
    if isinstance(shape, Box):
        place = f'x="{shape.left:.1f}" y="{shape.top:.1f}" width="{shape.width:.1f}" height="{shape.height:.1f}"'
        return f'<rect {place} fill="{shape.color}"/>'
    if isinstance(shape, Line):
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in shape.points)
        return f'<polyline points="{points}" fill="none" stroke="{shape.color}" stroke-width="{shape.width:g}"/>'
    weight = ' font-weight="bold"' if shape.bold else ""
    look = f'font-size="{shape.size:g}" text-anchor="{shape.anchor}" fill="{shape.color}"{weight}'
    return f'<text x="{shape.x:.1f}" y="{shape.y:.1f}" {look}>{_escaped(shape.text)}</text>'


def _escaped(text: str) -> str:
    """Return text for XML; characters that XML cannot hold are left out."""
    kept = "".join(
        sign for sign in text if sign >= " " and not "\ud800" <= sign <= "\udfff" and sign not in "\ufffe\uffff"
    )
    return kept.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")
