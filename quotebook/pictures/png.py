"""A picture as PNG, through Pillow, which is an optional extra."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from quotebook.errors import InputError
from quotebook.pictures.shapes import Box, Line, Picture

#: Pixels drawn for one of the picture's, so that text stays sharp.
SCALE = 2


def png_bytes(picture: Picture) -> bytes:
    """Return the picture as PNG. Errors: InputError where Pillow is not installed."""
    try:
        from PIL import Image, ImageDraw, ImageFont
    except ImportError:
        words = "found no library for PNG; expected Pillow; install quotebook[pictures], or write an .svg file"
        raise InputError("picture", [words]) from None
    image = Image.new("RGB", (picture.width * SCALE, picture.height * SCALE), "#ffffff")
    draw = ImageDraw.Draw(image)
    fonts: dict[float, Any] = {}
    for shape in picture.shapes:
        if isinstance(shape, Box):
            corners = (shape.left, shape.top, shape.left + shape.width, shape.top + shape.height)
            draw.rectangle([round(each * SCALE) for each in corners], fill=shape.color)
        elif isinstance(shape, Line):
            points = [(x * SCALE, y * SCALE) for x, y in shape.points]
            draw.line(points, fill=shape.color, width=max(1, round(shape.width * SCALE)), joint="curve")
        else:
            font = fonts.setdefault(shape.size, ImageFont.load_default(size=shape.size * SCALE))
            anchor = {"start": "ls", "middle": "ms", "end": "rs"}[shape.anchor]
            stroke = 1 if shape.bold else 0
            place = (shape.x * SCALE, shape.y * SCALE)
            draw.text(place, shape.text, shape.color, font, anchor, stroke_width=stroke, stroke_fill=shape.color)
    buffer = BytesIO()
    image.save(buffer, "PNG")
    return buffer.getvalue()
