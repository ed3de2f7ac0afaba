"""Naming what a file is when it is no workbook package, so that the user knows what to do with it."""

from __future__ import annotations

from pathlib import Path

from quotebook.errors import NotAWorkbook
from quotebook.workbook.refusals import not_a_workbook, quoted

#: A summary made by quotebook says so in this document property; it tells of many jobs and is none.
SUMMARY_MARK = "quotebook_summary"

_ZIP = b"PK\x03\x04"
_EMPTY_ZIP = b"PK\x05\x06"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_WANTED = "an .xlsx or .xlsm workbook"
_SAVE_AS = "open it in the spreadsheet program and save it as .xlsx"


def require_regular_file(path: Path) -> None:
    """Raise NotAWorkbook for what can be told without reading: lock file, missing, folder, device."""
    where = str(path)
    if path.name.startswith("~$"):
        raise not_a_workbook(
            where,
            f"a lock file {quoted(path.name)}",
            _WANTED,
            "leave it out: it vanishes when the workbook is closed",
        )
    if path.is_dir():
        raise not_a_workbook(where, "a folder", _WANTED, "name a file inside it")
    if not path.exists():
        raise not_a_workbook(where, "nothing: there is no such file", _WANTED, "check the name and the folder")
    if not path.is_file():
        raise not_a_workbook(where, "a device or pipe", _WANTED, "name a regular file")


def require_zip(path: Path, data: bytes) -> None:
    """Raise NotAWorkbook, saying what the file is instead, unless it begins as a zip package."""
    if not data.startswith(_ZIP):
        raise _named(str(path), data)


def _named(where: str, data: bytes) -> NotAWorkbook:
    if not data:
        return not_a_workbook(where, "an empty file (0 bytes)", _WANTED, "copy or download it again")
    if data.startswith(_EMPTY_ZIP):
        return not_a_workbook(where, "an empty zip archive", _WANTED, "copy or download it again")
    if data.startswith(_OLE):
        if _ENCRYPTED in data:
            remedy = "open it with its password, remove the password and save it under another name"
            return not_a_workbook(where, "a workbook encrypted with a password", _WANTED, remedy)
        return not_a_workbook(where, "an old-format file (.xls or another of that age)", _WANTED, _SAVE_AS)
    return _named_text(where, data)


def _named_text(where: str, data: bytes) -> NotAWorkbook:
    start = data[:4096]
    text = _decoded(start).lstrip("\ufeff \t\r\n")
    lowered = text.lower()
    if lowered.startswith(("<html", "<!doctype", "<table", "<head", "<body")):
        return not_a_workbook(where, f"a web page: {quoted(text[:40])}", _WANTED, _SAVE_AS)
    if lowered.startswith("<?xml") or lowered.startswith("<"):
        return not_a_workbook(where, f"an XML text: {quoted(text[:40])}", _WANTED, _SAVE_AS)
    if _looks_like_text(text):
        first_line = text.splitlines()[0] if text.splitlines() else ""
        remedy = "import it into the spreadsheet program as text and save it as .xlsx"
        return not_a_workbook(where, f"plain text: {quoted(first_line[:40])}", _WANTED, remedy)
    return not_a_workbook(where, f"an unknown format beginning {data[:8].hex(' ')}", _WANTED, _SAVE_AS)


def _decoded(start: bytes) -> str:
    """Return the beginning of a file as text: UTF-16 by its mark, UTF-8, else one byte a character."""
    if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return start.decode("utf-16", errors="replace")
    text = start.decode("utf-8", errors="replace")
    return start.decode("latin-1") if "\ufffd" in text[:-1] else text


def _looks_like_text(text: str) -> bool:
    odd = sum(not (character.isprintable() or character in "\r\n\t") for character in text)
    return odd <= len(text) // 20
