"""Text as cells store it: the _x000D_ escapes for characters that XML cannot hold, and rich text."""

from __future__ import annotations

import re

from quotebook.workbook.xml_parts import Element, local, stream_xml, text_of

_ESCAPE = re.compile(r"_x([0-9A-Fa-f]{4})_")
_SURROGATE = re.compile(r"[\ud800-\udfff]")
#: What must be escaped when written: control characters, and text that would be read as an escape.
_TO_ESCAPE = re.compile(r"[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")


def unescaped(text: str) -> str:
    """Return text with its _xHHHH_ escapes resolved."""
    if "_x" not in text:
        return text
    plain = _ESCAPE.sub(lambda match: chr(int(match[1], 16)), text)
    if _SURROGATE.search(plain):
        plain = plain.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return plain


def escaped(text: str) -> str:
    """Return text with everything escaped that XML, or a reader of the escapes, would change."""
    return _TO_ESCAPE.sub(lambda match: f"_x{ord(match[0]):04X}_", text)


def rich_text(element: Element) -> str:
    """Return the whole text of a string item; reading aids (phonetics) do not belong to it."""
    if len(element) == 1 and local(element[0]) == "t":
        return unescaped(element[0].text or "")
    pieces: list[str] = []
    for part in element:
        name = local(part)
        if name == "t":
            pieces.append(part.text or "")
        elif name == "r":
            pieces.extend(text_of(run) for run in part if local(run) == "t")
    return unescaped("".join(pieces))


def read_shared_strings(data: bytes, where: str) -> dict[str, str]:
    """Return the shared texts by their number as cells write it ("0", "1", ...)."""
    strings: dict[str, str] = {}
    for item in stream_xml(data, where, ("si",)):
        strings[str(len(strings))] = rich_text(item)
        item.clear()
    return strings
