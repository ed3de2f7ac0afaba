"""Random damage to a sound file: the outcome is a refusal or a snapshot, never another exception.

Source: none needed; this is the promise of ``read_snapshot`` itself.
"""

from __future__ import annotations

import zipfile
from contextlib import suppress
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from quotebook.errors import NotAWorkbook, UnsafeWorkbook
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.reader import read_snapshot
from tests.workbook.test_witnesses import write_varied


@lru_cache(maxsize=1)
def sound_file() -> bytes:
    with TemporaryDirectory() as folder:
        return write_varied(Path(folder) / "book.xlsx", sheets=1, rows=3).read_bytes()


@lru_cache(maxsize=1)
def sound_parts() -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(sound_file())) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def must_end_well(data: bytes) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "book.xlsx"
        path.write_bytes(data)
        with suppress(NotAWorkbook, UnsafeWorkbook):
            formula_book(read_snapshot(path))


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_changed_bytes_in_the_file(data: st.DataObject) -> None:
    content = bytearray(sound_file())
    for _ in range(data.draw(st.integers(1, 4))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    must_end_well(bytes(content))


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_changed_text_inside_a_part(data: st.DataObject) -> None:
    """Deeper damage: the zip stays sound and a part's XML changes."""
    parts = dict(sound_parts())
    name = data.draw(st.sampled_from(sorted(parts)))
    content = parts[name]
    start = data.draw(st.integers(0, len(content)))
    end = min(len(content), start + data.draw(st.integers(0, 12)))
    # Half of the time a digit or a quoted value changes, so that the XML often stays well formed.
    put = data.draw(st.sampled_from([b"", b"9", b"-1", b"0", b"99999999999", b"x", b'"', b"<", b"\xff", b"A1", b"$"]))
    parts[name] = content[:start] + put + content[end:]
    must_end_well(packed(parts))


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_changed_attribute_values(data: st.DataObject) -> None:
    """Well-formed nonsense: one attribute or text of one part gets an odd value."""
    import re

    parts = dict(sound_parts())
    name = data.draw(st.sampled_from(sorted(name for name in parts if name.endswith((".xml", ".rels")))))
    places = [match.span(1) for match in re.finditer(rb'="([^"]*)"|>([^<]+)<', parts[name]) if match[1] is not None]
    if not places:
        return
    start, end = data.draw(st.sampled_from(places))
    odd = data.draw(
        st.sampled_from(["", "-1", "9" * 30, "A", "1.5", "../../x", "A1:", "::", "é", "#REF!", "true", " "])
    )
    parts[name] = parts[name][:start] + odd.encode() + parts[name][end:]
    must_end_well(packed(parts))


def packed(parts: dict[str, bytes]) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return buffer.getvalue()
