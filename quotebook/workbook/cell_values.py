"""The stored value of a cell: number, text in its three forms, logical, error, ISO date."""

from __future__ import annotations

import math
from collections.abc import Mapping

from quotebook.values import ErrorValue, Value
from quotebook.workbook.areas import cell_name
from quotebook.workbook.dates import serial_of_iso
from quotebook.workbook.refusals import damaged, quoted
from quotebook.workbook.text_escapes import rich_text, unescaped
from quotebook.workbook.xml_parts import Element, whole

_ERRORS = {error.value: error for error in ErrorValue}
_TRUE = frozenset({"1", "true"})


class ValueReader:
    """Reads the values of one sheet; ``where`` names it in messages."""

    def __init__(self, where: str, strings: Mapping[str, str], date1904: bool) -> None:
        self._where = where
        self._strings = strings
        self._date1904 = date1904

    def read(self, kind: str | None, raw: Element | None, inline: Element | None, key: tuple[int, int]) -> Value:
        """Return the value of a cell from its type attribute, its v element and its is element."""
        if kind == "s" and raw is not None:
            string = self._strings.get(raw.text)
            return self._odd_string(raw.text or "", key) if string is None else string
        if kind == "inlineStr" and inline is not None:
            return rich_text(inline)
        if raw is None:
            return None
        text: str = raw.text or ""
        if kind is None or kind == "n":
            return number_or_text(text)
        if kind in ("str", "inlineStr"):
            return unescaped(text)
        if kind == "b":
            return text.strip().lower() in _TRUE
        if kind == "e":
            # An error newer than the seven classic ones is an error all the same.
            return _ERRORS.get(text.strip(), ErrorValue.VALUE)
        if kind == "d":
            serial = serial_of_iso(text, self._date1904)
            return text if serial is None else serial
        where = f"{self._where}, cell {cell_name(*key)}"
        raise damaged(where, f"the cell type {quoted(kind)}", "n, s, str, b, e or d")

    def _odd_string(self, text: str, key: tuple[int, int]) -> str:
        """Return the shared text whose number is not written in the plain way; refuse one that is not there."""
        string = self._strings.get(str(whole(text, default=-1)))
        if string is None:
            where = f"{self._where}, cell {cell_name(*key)}"
            raise damaged(where, f"text number {quoted(text)}", f"one of the {len(self._strings)} shared texts")
        return string


def number_or_text(text: str) -> Value:
    """Return the number, or the text itself where the file holds no number in a number cell."""
    try:
        number = float(text)
    except ValueError:
        return text if text.strip() else None
    return number if math.isfinite(number) and "_" not in text else text
