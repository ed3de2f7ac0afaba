"""What stands in a workbook's package beside cells: pointers to the outside, and parts that a snapshot does not keep.

Nothing is followed, nothing is run: the parts are read as data, within the limits of the safe reader.
"""

from __future__ import annotations

import posixpath
import re
from dataclasses import dataclass

from quotebook.audit.view import BookView
from quotebook.errors import BookError
from quotebook.workbook.package import Package, open_package
from quotebook.workbook.relationships import Relation, relations_of

_IGNORED = re.compile(rb'<(?:\w+:)?ignoredError\b[^>]*sqref="([^"]*)"')
_FILTER = re.compile(rb'<(?:\w+:)?autoFilter\b[^>]*ref="([^"]*)"')
_ABSOLUTE_PATH = re.compile(rb'absPath\b[^>]*url="([^"]*)"')
_LIVE_LINK = re.compile(rb"<(?:\w+:)?(ddeLink|oleLink)\b")


@dataclass(frozen=True, slots=True)
class Pointer:
    """A pointer out of the package. ``part``: where it stands; ``kind``: the last word of its type."""

    part: str
    kind: str
    target: str


@dataclass(frozen=True, slots=True)
class PackageFacts:
    """``ignored`` and ``filters``: ranges by sheet part. ``live_links``: parts with a DDE or OLE link."""

    pointers: tuple[Pointer, ...] = ()
    ignored: tuple[tuple[str, str], ...] = ()
    filters: tuple[tuple[str, str], ...] = ()
    live_links: tuple[str, ...] = ()
    saved_in: str = ""


def package_facts(view: BookView) -> PackageFacts:
    """Return the facts of a workbook's package, read once; empty where the file is gone by now."""
    return view.shared(_read)


def _read(view: BookView) -> PackageFacts:
    try:
        package = open_package(view.path)
        return _facts(package, view)
    except BookError:
        return PackageFacts()


def _facts(package: Package, view: BookView) -> PackageFacts:
    pointers: list[Pointer] = []
    for name in package.names:
        if name.endswith(".rels"):
            folder, base = posixpath.split(name)
            part = posixpath.join(posixpath.dirname(folder), base.removesuffix(".rels"))
            pointers += [Pointer(part, each.kind, each.target) for each in _outside(package, part)]
    ignored: list[tuple[str, str]] = []
    filters: list[tuple[str, str]] = []
    for sheet in view.snapshot.sheets:
        data = package.read(sheet.part)
        ignored += [(sheet.title, found.decode("utf-8", "replace")) for found in _IGNORED.findall(data)]
        filters += [(sheet.title, found.decode("utf-8", "replace")) for found in _FILTER.findall(data)]
    live = [name for name in package.names if "externalLinks/" in name and name.endswith(".xml")]
    saved = _ABSOLUTE_PATH.search(package.read("xl/workbook.xml")) if package.find("xl/workbook.xml") else None
    return PackageFacts(
        tuple(pointers),
        tuple(ignored),
        tuple(filters),
        tuple(name for name in live if _LIVE_LINK.search(package.read(name))),
        saved[1].decode("utf-8", "replace") if saved else "",
    )


def _outside(package: Package, part: str) -> list[Relation]:
    return [each for each in relations_of(package, part).values() if each.external]
