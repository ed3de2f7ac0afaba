"""Reading the XML of a part: no entities, no network, bounded depth, both namespace families.

Elements are found by local name: transitional and strict files differ only in the namespace.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from typing import Any

from lxml import etree

from quotebook.errors import BookError
from quotebook.workbook.refusals import damaged, quoted, unsafe

#: lxml ships no types; the name says what is meant.
Element = Any

_OPTIONS: dict[str, bool] = {
    "resolve_entities": False,
    "no_network": True,
    "huge_tree": False,
    "load_dtd": False,
    "remove_comments": True,
    "remove_pis": True,
}
_MARK = b"\xef\xbb\xbf"
_DOCTYPE = re.compile(rb"(?:\s|<\?.*?\?>|<!--.*?-->)*<!DOCTYPE", re.DOTALL)
_PROLOG = 65_536
_TRUE = frozenset({"1", "true", "on"})


def parse_xml(data: bytes, where: str) -> Element:
    """Return the root element of a part; NotAWorkbook if it is no XML, UnsafeWorkbook if it is a trap."""
    _refuse_doctype(data, where)
    try:
        root = etree.fromstring(data, etree.XMLParser(**_OPTIONS))
    except (etree.XMLSyntaxError, ValueError, LookupError) as error:
        raise _trouble(error, where) from error
    _refuse_parsed_doctype(root, where)
    return root


def find_all(data: bytes, where: str, names: Sequence[str]) -> Iterator[Element]:
    """Yield each element with one of the local names, in file order, from the part read as a whole.

    Nothing is looked for inside an element directly below the root that was yielded itself.
    """
    tags = [f"{{*}}{name}" for name in names]
    for element in parse_xml(data, where):
        if local(element) in names:
            yield element
        else:
            yield from element.iter(*tags)


def stream_xml(data: bytes, where: str, names: Sequence[str]) -> Iterator[Element]:
    """Yield each finished element with one of the local names, in file order; the caller may clear it."""
    _refuse_doctype(data, where)
    tags = [f"{{*}}{name}" for name in names]
    context = etree.iterparse(io.BytesIO(data), events=("end",), tag=tags, **_OPTIONS)
    first = True
    try:
        for _, element in context:
            if first:
                _refuse_parsed_doctype(element, where)
                first = False
            yield element
    except (etree.XMLSyntaxError, ValueError, LookupError) as error:
        raise _trouble(error, where) from error
    if context.root is not None:
        _refuse_parsed_doctype(context.root, where)


def local(element: Element) -> str:
    """Return the name of an element without its namespace."""
    tag: str = element.tag
    return tag[tag.rfind("}") + 1 :] if isinstance(tag, str) else ""


def child(element: Element, name: str) -> Element | None:
    """Return the first child of that local name, or None."""
    return element.find(f"{{*}}{name}")


def children(element: Element | None, name: str) -> list[Element]:
    """Return all children of that local name; none of nothing."""
    return [] if element is None else list(element.iterfind(f"{{*}}{name}"))


def text_of(element: Element | None) -> str:
    """Return the text directly inside an element, "" if there is none."""
    return (element.text or "") if element is not None else ""


def flag(text: str | None, default: bool = False) -> bool:
    """Return an XML truth value; ``default`` where the attribute is missing."""
    return default if text is None else text.strip().lower() in _TRUE


def whole(text: str | None, default: int = 0) -> int:
    """Return a whole number that is not negative; ``default`` where it is missing or unreadable."""
    text = (text or "").strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 10 else default


def relation_id(element: Element) -> str:
    """Return the relationship id that an element carries (r:id in either namespace family), or ""."""
    return next((value for key, value in element.attrib.items() if key.endswith("}id")), "")


def _refuse_doctype(data: bytes, where: str) -> None:
    """Refuse before parsing: a DOCTYPE stands before the first element, so near the start."""
    start = data[:_PROLOG]
    if b"\0" in start[:4] or start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        little = start[:2] == b"\xff\xfe" or start[1:2] == b"\0"
        start = start.decode("utf-16-le" if little else "utf-16-be", errors="replace").encode(errors="replace")
    if b"<!DOCTYPE" in start and _DOCTYPE.match(start.removeprefix(_MARK)):
        raise _doctype(where)


def _refuse_parsed_doctype(element: Element, where: str) -> None:
    """Catch what the look at the first bytes cannot see: other encodings, long prologs."""
    if element.getroottree().docinfo.internalDTD is not None:
        raise _doctype(where)


def _doctype(where: str) -> BookError:
    return unsafe(where, "a DOCTYPE, which can define entities", "a part without one")


def _trouble(error: Exception, where: str) -> BookError:
    text = str(error)
    if "depth" in text.lower():
        return unsafe(where, "elements nested more than 256 deep", "at most 256 levels")
    if "huge" in text.lower() or "limit" in text.lower() or "too long" in text.lower():
        return unsafe(where, f"an oversized piece of XML ({quoted(text)})", "pieces of at most 10 MB")
    return damaged(where, f"XML that cannot be read ({quoted(text)})", "well-formed XML")
