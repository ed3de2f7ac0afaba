"""Packages that open as a zip but are damaged, or made to harm the reader."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

from tests.hostile.bad_files import Bad, changed
from tests.workbook.raw import SHEET_PART, parts_of, worksheet, write_parts

Parts = dict[str, str | bytes]
ROW = '<row r="1"><c r="A1" t="s"><v>0</v></c></row>'
BOMB = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">]>'
)
FILE_ENTITY = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'


def with_part(name: str, text: str | bytes) -> Callable[[Path], object]:
    """Return a maker of a workbook in which one part is replaced or added."""
    return lambda path: write_parts(path, parts_of(ROW, strings="<si><t>x</t></si>") | {name: text})


def without_part(name: str) -> Callable[[Path], object]:
    """Return a maker of a workbook in which one part is missing."""

    def make(path: Path) -> None:
        parts = parts_of(ROW, strings="<si><t>x</t></si>")
        del parts[name]
        write_parts(path, parts)

    return make


def with_entries(*names: str) -> Callable[[Path], object]:
    """Return a maker of a workbook with further entries, duplicates included."""

    def make(path: Path) -> None:
        write_parts(path, parts_of(ROW, strings="<si><t>x</t></si>"))
        with zipfile.ZipFile(path, "a") as archive:
            for name in names:
                if name in archive.NameToInfo:
                    del archive.NameToInfo[name]  # else the writer warns of the duplicate that is wanted here
                archive.writestr(zipfile.ZipInfo(name), "x")

    return make


def many_parts(path: Path) -> None:
    write_parts(path, parts_of() | {f"xl/media/{number}.bin": b"" for number in range(5001)})


def declared(field_offset: int, value: int, part: str = SHEET_PART, form: str = "<I") -> Callable[[bytes], bytes]:
    """Return a change of one field in the directory entry of a part (offsets: PKWARE APPNOTE 4.3.12)."""

    def change(data: bytes) -> bytes:
        name_at = data.rindex(part.encode())
        place = name_at - 46 + field_offset
        assert data[name_at - 46 : name_at - 42] == b"PK\x01\x02"
        return data[:place] + struct.pack(form, value) + data[place + struct.calcsize(form) :]

    return change


def flipped_content(data: bytes) -> bytes:
    """Change one byte inside the packed content of the sheet."""
    place = data.index(SHEET_PART.encode()) + len(SHEET_PART) + 20
    return data[:place] + bytes([data[place] ^ 0xFF]) + data[place + 1 :]


def stored_with_wrong_sum(path: Path) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, text in (parts_of() | {"xl/media/picture.png": b"PICTURE"}).items():
            archive.writestr(name, text)
    path.write_bytes(buffer.getvalue().replace(b"PICTURE", b"PICTURF", 1))


def lzma_packed(path: Path) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_LZMA) as archive:
        for name, text in parts_of().items():
            archive.writestr(name, text)


def overlapping(path: Path) -> None:
    """Two directory entries that point to the same bytes."""
    write_parts(path, parts_of() | {"xl/media/a.bin": b"a" * 50, "xl/media/b.bin": b"a" * 50})
    data = path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        offset = archive.getinfo("xl/media/a.bin").header_offset
    path.write_bytes(declared(42, offset, "xl/media/b.bin")(data))


def sheet(rows: str, after: str = "") -> Callable[[Path], object]:
    """Return a maker of a workbook with these rows."""
    return with_part(SHEET_PART, worksheet(rows, after))


def nested(depth: int) -> str:
    return f"<worksheet>{'<a>' * depth}{'</a>' * depth}</worksheet>"


DOUBTFUL_NAMES = [
    ("xl/../../evil.xml", "name inside the package"),
    ("/etc/passwd", "name inside the package"),
    ("\\windows\\x.xml", "name inside the package"),
    ("C:\\x.xml", "name inside the package"),
    ("xl/./x.xml", "name inside the package"),
    ("xl//x.xml", "name inside the package"),
    ("xl\\..\\x.xml", "name inside the package"),
    (SHEET_PART, "each name once"),
    ("XL/Worksheets/SHEET1.xml", "each name once"),
    ("xl\\worksheets\\sheet1.xml", "each name once"),
]

BAD_PACKAGES = [
    *(Bad(f"part name {name!r}", with_entries(name), words, unsafe=True) for name, words in DOUBTFUL_NAMES),
    Bad("too many parts", many_parts, "at most 5000", unsafe=True),
    Bad("part said to be 200 MB", changed(declared(24, 200_000_000)), "200,000,000 bytes in part", unsafe=True),
    Bad("part said to be 4 GB", changed(declared(24, 0xFFFF_FFF0)), "when unpacked", unsafe=True),
    Bad("part said to be smaller than it is", changed(declared(24, 20)), "damaged bytes"),
    Bad("part said to be larger than it is", changed(declared(24, 90_000)), "found"),
    Bad("part said to be packed in more bytes", changed(declared(20, 90_000)), "found"),
    Bad("part said to begin elsewhere", changed(declared(42, 7)), "missing from its place"),
    Bad("part said to begin past the end", changed(declared(42, 0x7FFF_FFFF)), "missing from its place"),
    Bad("wrong check sum in the directory", changed(declared(16, 12345)), "damaged bytes"),
    Bad("unknown packing", changed(declared(10, 99, form="<H")), "packed by method 99"),
    Bad("zip password", changed(declared(8, 1, form="<H")), "zip password"),
    Bad("changed byte in a part", changed(flipped_content), "damaged bytes"),
    Bad("changed byte in a picture that nothing reads", stored_with_wrong_sum, "damaged bytes"),
    Bad("lzma", lzma_packed, "packed by method 14"),
    Bad("overlapping parts", overlapping, "the same bytes", unsafe=True),
    Bad("entity bomb in a sheet", with_part(SHEET_PART, BOMB + "<worksheet>&c;</worksheet>"), "DOCTYPE", unsafe=True),
    Bad("entity bomb in texts", with_part("xl/sharedStrings.xml", BOMB + "<sst/>"), "DOCTYPE", unsafe=True),
    Bad("entity bomb in the workbook", with_part("xl/workbook.xml", BOMB + "<workbook/>"), "DOCTYPE", unsafe=True),
    Bad("entity bomb in pointers", with_part("_rels/.rels", BOMB + "<Relationships/>"), "DOCTYPE", unsafe=True),
    Bad("entity naming a file", with_part(SHEET_PART, FILE_ENTITY + "<worksheet>&a;</worksheet>"), "DOCTYPE", True),
    Bad("DOCTYPE after a comment", with_part(SHEET_PART, "<!-- a --><!DOCTYPE x><x/>"), "DOCTYPE", unsafe=True),
    Bad(
        "DOCTYPE after a long comment", with_part(SHEET_PART, f"<!--{'a' * 99_999}--><!DOCTYPE x><x/>"), "DOCTYPE", True
    ),
    Bad("DOCTYPE in utf-16", with_part(SHEET_PART, "<!DOCTYPE x><x/>".encode("utf-16")), "DOCTYPE", unsafe=True),
    Bad(
        "DOCTYPE in utf-16 without a mark",
        with_part(SHEET_PART, '<?xml version="1.0" encoding="UTF-16BE"?><!DOCTYPE x><x/>'.encode("utf-16-be")),
        "DOCTYPE",
        unsafe=True,
    ),
    Bad("300 levels of XML", with_part(SHEET_PART, nested(300)), "256 deep", unsafe=True),
    Bad("100,000 levels of XML", with_part(SHEET_PART, nested(100_000)), "256 deep", unsafe=True),
    Bad("300 levels in texts", with_part("xl/sharedStrings.xml", nested(300)), "256 deep", unsafe=True),
    Bad("11 MB in one text", sheet(f'<row><c t="str"><v>{"a" * 11_000_000}</v></c></row>'), "oversized", unsafe=True),
    Bad("sheet cut in the middle", with_part(SHEET_PART, worksheet(ROW)[:-30]), "XML that cannot be read"),
    Bad("sheet is empty", with_part(SHEET_PART, b""), "XML that cannot be read"),
    Bad("sheet is no XML", with_part(SHEET_PART, b"\x89PNG\r\n"), "XML that cannot be read"),
    Bad("unknown encoding", with_part(SHEET_PART, '<?xml version="1.0" encoding="klingon"?><a/>'), "XML that cannot"),
    Bad("broken characters", with_part(SHEET_PART, b'<?xml version="1.0"?><a>\xff\xfe\xfd</a>'), "XML that cannot"),
    Bad("foreign namespace", with_part(SHEET_PART, "<x:a xmlns:x='urn:x'><x:sheetData/></x:a>"), "XML namespace"),
    Bad("no namespace", with_part(SHEET_PART, "<worksheet><sheetData><row/></sheetData></worksheet>"), "XML namespace"),
    Bad("workbook is another kind", with_part("xl/workbook.xml", "<document/>"), "a main part of the kind"),
    Bad("pointers are no XML", with_part("xl/_rels/workbook.xml.rels", "nonsense"), "XML that cannot be read"),
    Bad("sheet part missing", without_part(SHEET_PART), "without its content"),
    Bad("pointers missing", without_part("xl/_rels/workbook.xml.rels"), "without its content"),
    Bad("texts missing", without_part("xl/sharedStrings.xml"), "text number '0'"),
    Bad("texts too few", with_part("xl/sharedStrings.xml", "<sst/>"), "text number '0'"),
    Bad("row number zero", sheet('<row r="0"/>'), "row number"),
    Bad("row number of 5000 digits", sheet(f'<row r="{"9" * 5000}"/>'), "row number"),
    Bad("row too far down", sheet('<row r="1048577"/>'), "row number"),
    Bad("row past the last one", sheet('<row r="1048576"/><row/>'), "row number"),
    Bad("cell past the last column", sheet('<row r="1"><c r="XFD1"/><c><v>1</v></c></row>'), "cells in row 1"),
    Bad("impossible address", sheet('<row r="1"><c r="$$"><v>1</v></c></row>'), "cell address"),
    Bad("unknown cell type", sheet('<row r="1"><c r="A1" t="zz"><v>1</v></c></row>'), "cell type 'zz'"),
]
