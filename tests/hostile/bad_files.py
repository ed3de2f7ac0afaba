"""Files that are no workbook at all, each with the words that must appear in the one reason given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.workbook.raw import parts_of, write_parts

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 504


@dataclass(frozen=True)
class Bad:
    """A bad file: its name, how it is made at a path, and words of the reason."""

    name: str
    make: Callable[[Path], object]
    words: str
    unsafe: bool = False
    file_name: str = "quote.xlsx"


def good_bytes(folder: Path) -> bytes:
    """Return a small sound workbook."""
    rows = '<row r="1"><c r="A1"><v>1</v></c><c r="B1" t="s"><v>0</v></c><c r="C1"><f>A1*2</f><v>2</v></c></row>'
    path = write_parts(folder / "good.part", parts_of(rows, strings="<si><t>text</t></si>"))
    data = path.read_bytes()
    path.unlink()
    return data


def content(data: bytes) -> Callable[[Path], object]:
    """Return a maker of a file with these bytes."""
    return lambda path: path.write_bytes(data)


def changed(change: Callable[[bytes], bytes]) -> Callable[[Path], object]:
    """Return a maker of a sound workbook whose bytes were changed."""
    return lambda path: path.write_bytes(change(good_bytes(path.parent)))


def package(**parts: str | bytes) -> Callable[[Path], object]:
    """Return a maker of a package of just these parts; names use __ for a slash and _DOT_ for a dot."""
    named = {name.replace("__", "/").replace("_DOT_", "."): text for name, text in parts.items()}
    return lambda path: write_parts(path, named)


ODS = "application/vnd.oasis.opendocument.spreadsheet"

BAD_FILES = [
    Bad("missing", lambda path: None, "no such file"),
    Bad("folder", lambda path: path.mkdir(), "a folder"),
    Bad("lock file", content(b"\x05owner"), "lock file", file_name="~$quote.xlsx"),
    Bad("lock file that is not there", lambda path: None, "lock file", file_name="~$quote.xlsx"),
    Bad("empty", content(b""), "empty file"),
    Bad("one byte", content(b"P"), "found"),
    Bad("csv", content(b"part,quantity,price\n17,4,99.50\n"), "plain text: 'part,quantity,price'"),
    Bad("csv with accents in an old encoding", content("Stück;Preis\n1;2\n".encode("cp1252") * 20), "plain text"),
    Bad("csv in utf-16", content("part\tprice\n1\t2\n".encode("utf-16")), "plain text"),
    Bad("blank lines", content(b"\n\n\n"), "plain text"),
    Bad("web page", content(b"\r\n<!DOCTYPE html><html><table></table></html>"), "a web page"),
    Bad("web table", content(b"<table><tr><td>1</td></tr></table>"), "a web page"),
    Bad("xml spreadsheet of 2003", content(b'<?xml version="1.0"?><?mso-application progid="x"?>'), "an XML text"),
    Bad("old xls", content(OLE + "Workbook".encode("utf-16-le")), "old-format file (.xls"),
    Bad("encrypted", content(OLE + "EncryptedPackage".encode("utf-16-le")), "encrypted with a password"),
    Bad("pdf", content(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n" + bytes(range(256)) * 8), "found"),
    Bad("zeros", content(b"\0" * 4096), "unknown format beginning 00 00"),
    Bad("noise", content(bytes((i * 97 + 13) % 251 for i in range(4096))), "unknown format"),
    Bad("empty zip", content(b"PK\x05\x06" + b"\0" * 18), "an empty zip archive"),
    Bad("only the first bytes of a zip", content(b"PK\x03\x04"), "cut short or damaged"),
    Bad("zip of other files", package(readme_DOT_txt="hello"), "without a workbook in it"),
    Bad("opendocument", package(mimetype=ODS, content_DOT_xml="<x/>"), "OpenDocument"),
    Bad("binary workbook", package(xl__workbook_DOT_bin=b"\x83\x01"), "binary workbook"),
    Bad("text document", package(word__document_DOT_xml="<x/>"), "a text document"),
    Bad("presentation", package(ppt__presentation_DOT_xml="<x/>"), "a presentation"),
    Bad("no workbook part", package(**{"[Content_Types]_DOT_xml": "<Types/>"}), "without a workbook part"),
    Bad("cut by a kilobyte", changed(lambda data: data[:-1000]), "cut short or damaged"),
    Bad("cut in half", changed(lambda data: data[: len(data) // 2]), "cut short or damaged"),
    Bad("cut by one byte", changed(lambda data: data[:-1]), "cut short or damaged"),
    Bad("two bytes in front", changed(lambda data: b"\n\n" + data), "found"),
    Bad("zero bytes in the middle", changed(lambda data: data[:60] + b"\0" * 40 + data[100:]), "found"),
]
