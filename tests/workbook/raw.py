"""Workbook packages written by hand, part by part, for what no library writes."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
STRICT_MAIN = "http://purl.oclc.org/ooxml/spreadsheetml/main"
STRICT_RELATIONS = "http://purl.oclc.org/ooxml/officeDocument/relationships"
_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Override PartName="/xl/workbook.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
    "{more}</Types>"
)
SHEET_PART = "xl/worksheets/sheet1.xml"


def relations(*entries: tuple[str, str, str], external: bool = False, base: str = RELATIONS) -> str:
    """Return a relationships part of (id, kind, target) entries."""
    mode = ' TargetMode="External"' if external else ""
    inside = "".join(
        f'<Relationship Id="{identity}" Type="{base}/{kind}" Target="{target}"{mode}/>'
        for identity, kind, target in entries
    )
    return f'<Relationships xmlns="{PACKAGE}">{inside}</Relationships>'


def worksheet(rows: str, after: str = "", before: str = "", main: str = MAIN) -> str:
    """Return a sheet part with the given rows and what stands before and after the sheet data."""
    start = f'<worksheet xmlns="{main}" xmlns:r="{RELATIONS}">'
    return f"{start}{before}<sheetData>{rows}</sheetData>{after}</worksheet>"


def parts_of(
    rows: str = "",
    *,
    after: str = "",
    before: str = "",
    strings: str = "",
    styles: str = "",
    workbook: str = "",
    in_front: str = "",
    strict: bool = False,
) -> dict[str, str | bytes]:
    """Return the parts of a package with one sheet "Data"; ``workbook`` goes after its list of sheets."""
    main, base = (STRICT_MAIN, STRICT_RELATIONS) if strict else (MAIN, RELATIONS)
    entries = [("rId1", "worksheet", "worksheets/sheet1.xml")]
    if strings:
        entries.append(("rId2", "sharedStrings", "sharedStrings.xml"))
    if styles:
        entries.append(("rId3", "styles", "styles.xml"))
    sheets = '<sheets><sheet name="Data" sheetId="1" r:id="rId1"/></sheets>'
    parts: dict[str, str | bytes] = {
        "[Content_Types].xml": _TYPES.format(more=""),
        "_rels/.rels": relations(("rId1", "officeDocument", "xl/workbook.xml"), base=base),
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{base}">{in_front}{sheets}{workbook}</workbook>',
        "xl/_rels/workbook.xml.rels": relations(*entries, base=base),
        SHEET_PART: worksheet(rows, after, before, main),
    }
    if strings:
        parts["xl/sharedStrings.xml"] = f'<sst xmlns="{main}">{strings}</sst>'
    if styles:
        parts["xl/styles.xml"] = f'<styleSheet xmlns="{main}">{styles}</styleSheet>'
    return parts


def write_parts(path: Path, parts: Mapping[str, str | bytes]) -> Path:
    """Write the parts as a package and return its path."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def raw_book(path: Path, rows: str = "", **options: str | bool) -> Path:
    """Write a one-sheet workbook; see ``parts_of``."""
    return write_parts(path, parts_of(rows, **options))  # type: ignore[arg-type]
