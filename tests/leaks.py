"""Looking for what must not be in a file: every byte of every part of a package, unzipped."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from pathlib import Path


def unzipped(path: Path) -> dict[str, bytes]:
    """Return every part of a package, and under "" the raw directory of the zip with its names and comments."""
    data = path.read_bytes()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = {entry.filename: archive.read(entry) for entry in archive.infolist()}
        names = [entry.filename.encode() + entry.comment + entry.extra for entry in archive.infolist()]
    parts[""] = b"\n".join([*names, data[data.rfind(b"PK\x05\x06") :]])
    return parts


def found_in(path: Path, secrets: Iterable[str]) -> list[tuple[str, str]]:
    """Return each secret that stands anywhere in the package, with its part; capitals do not matter.

    Texts are sought as UTF-8 and UTF-16, and with the XML escapes of & < > and quotes.
    """
    hits = []
    parts = {name: data.lower() for name, data in unzipped(path).items()}
    for secret in secrets:
        low = secret.lower()
        escaped = low.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
        forms = {low.encode(), low.encode("utf-16-le"), escaped.encode(), escaped.replace('"', "&quot;").encode()}
        hits += [(secret, name) for name, data in parts.items() if any(form in data for form in forms)]
    return hits


def figures(values: Iterable[float | None]) -> list[str]:
    """Return numbers as they could stand in a file: 15 digits, and rounded to 4, 3 and 2 decimals.

    Numbers of fewer than four digits are left out: they stand everywhere by chance.
    """
    texts: set[str] = set()
    for value in values:
        if value is None:
            continue
        for text in (repr(float(value)), f"{value:.15g}", f"{value:.4f}", f"{value:.3f}", f"{value:.2f}"):
            if len(text.replace(".", "").strip("0-")) >= 4:
                texts.add(text)
    return sorted(texts)
