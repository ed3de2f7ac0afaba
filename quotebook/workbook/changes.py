"""What may be changed in a copy of a workbook, and how a value is written in XML."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from quotebook.errors import BookError
from quotebook.values import ErrorValue, Value
from quotebook.workbook.dates import serial_of
from quotebook.workbook.refusals import quoted, worded
from quotebook.workbook.text_escapes import escaped

LONGEST_TEXT = 32_767
LONGEST_FORMULA = 8_192


@dataclass(frozen=True, slots=True)
class NewResult:
    """A fresh stored result of a formula cell; the formula stays. None removes the stored result."""

    value: Value


@dataclass(frozen=True, slots=True)
class NewInput:
    """A constant for a cell; its format stays. None empties the cell. Text is always text, never a formula.

    A date becomes a day number. A cell that holds a formula is refused unless ``over_formula`` says so.
    """

    value: Value | date
    over_formula: bool = False


@dataclass(frozen=True, slots=True)
class NewFormula:
    """A formula (without equals sign) for a cell, with the result to be stored beside it; the format stays."""

    text: str
    value: Value = None


Change = NewResult | NewInput | NewFormula


@dataclass(frozen=True, slots=True)
class CellXml:
    """A cell's new content: its type attribute ("" for none), its f and its value elements without namespace prefix."""

    kind: str
    formula: str
    value: str


def input_xml(where: str, value: Value | date, date1904: bool, prefix: str) -> CellXml:
    """Return a constant as XML; text goes inline, so that no other part changes."""
    if isinstance(value, date):
        value = serial_of(value, date1904)
    if isinstance(value, str):
        inside = f'<{prefix}t xml:space="preserve">{_text(where, value)}</{prefix}t>'
        return CellXml("inlineStr", "", f"<{prefix}is>{inside}</{prefix}is>")
    return result_xml(where, value, prefix)


def result_xml(where: str, value: Value, prefix: str) -> CellXml:
    """Return a stored result as XML."""
    if value is None:
        return CellXml("", "", "")
    if isinstance(value, bool):
        kind, text = "b", str(int(value))
    elif isinstance(value, ErrorValue):
        kind, text = "e", value.value
    elif isinstance(value, str):
        kind, text = "str", _text(where, value)
    else:
        kind, text = "", _number(where, value)
    return CellXml(kind, "", f"<{prefix}v>{text}</{prefix}v>")


def formula_element(where: str, text: str, prefix: str) -> str:
    """Return a plain f element."""
    if not text.strip() or text.startswith("=") or len(text) > LONGEST_FORMULA:
        expected = f"1 to {LONGEST_FORMULA} characters without the equals sign"
        raise BookError(worded(where, f"the formula {quoted(text)}", expected, "correct the formula"))
    space = ' xml:space="preserve"' if text != text.strip() or "\n" in text else ""
    return f"<{prefix}f{space}>{_xml(escaped(text))}</{prefix}f>"


def _number(where: str, value: float) -> str:
    number = float(value)
    if not math.isfinite(number):
        raise BookError(worded(where, f"the number {number}", "a finite number", "correct the value"))
    return str(int(number)) if number.is_integer() and abs(number) < 1e15 else repr(number)


def _text(where: str, text: str) -> str:
    if len(text) > LONGEST_TEXT:
        found, expected = f"a text of {len(text)} characters", f"at most {LONGEST_TEXT}"
        raise BookError(worded(where, found, expected, "shorten it"))
    return _xml(escaped(text))


def _xml(text: str) -> str:
    """Return text as XML holds it between tags; the standard library's function would load its network modules."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
