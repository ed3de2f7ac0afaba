"""Dropping the calculation chain: a list of formula cells that must not name a cell which holds none.

The spreadsheet program builds it anew; a wrong one makes it offer a repair.
"""

from __future__ import annotations

import posixpath
import re

from quotebook.workbook.package import Package
from quotebook.workbook.sheet_scan import utf8_part
from quotebook.workbook.workbook_part import WorkbookPart

_ENTRY = re.compile(rb"""<(?:[\w.-]+:)?(?:Override|Relationship)\b(?:[^"'>]|"[^"]*"|'[^']*')*?(?:/>|>\s*</[^>]*>)""")
_MARK = b"calcChain"


def without_calc_chain(package: Package, workbook: WorkbookPart) -> tuple[dict[str, bytes], set[str]]:
    """Return the parts that must be rewritten and those to leave out, so that the chain is gone."""
    chain = workbook.related("calcchain")
    part = package.find(chain) if chain else None
    if part is None:
        return {}, set()
    folder, base = posixpath.split(workbook.name)
    pointers = (package.find(posixpath.join(folder, "_rels", f"{base}.rels")), package.find("[Content_Types].xml"))
    rewritten = {
        name: _ENTRY.sub(_drop, utf8_part(package.read(name), package.where(name)))
        for name in pointers
        if name is not None
    }
    return rewritten, {part}


def _drop(entry: re.Match[bytes]) -> bytes:
    return b"" if _MARK in entry[0] else entry[0]
