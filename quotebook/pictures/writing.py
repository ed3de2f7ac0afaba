"""A picture into a file; the ending says in which format."""

from __future__ import annotations

from pathlib import Path

from quotebook.errors import InputError
from quotebook.pictures.png import png_bytes
from quotebook.pictures.shapes import Picture
from quotebook.pictures.svg import svg_text

ENDINGS = (".svg", ".png")


def check_ending(path: Path) -> None:
    """Refuse a file name that tells no format. Errors: InputError."""
    if path.suffix.lower() not in ENDINGS:
        words = f"found the ending {path.suffix!r}; expected .svg or .png; choose one of them"
        raise InputError(str(path), [words])


def picture_bytes(picture: Picture, path: Path) -> bytes:
    """Return a picture in the format that a file name asks for. Errors: InputError."""
    check_ending(path)
    return png_bytes(picture) if path.suffix.lower() == ".png" else svg_text(picture).encode("utf-8")
