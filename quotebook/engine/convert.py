"""Conversions between the kinds of values, as spreadsheet programs do them.

Two exceptions carry what is no value: ``CellError`` is an error result that IFERROR may catch, ``NotSupported`` is our
own inability, which nothing in a formula may catch.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date

from quotebook.engine.arrays import Operand
from quotebook.values import ErrorValue, Value

#: The largest number a double holds; beyond it spreadsheet programs answer #NUM!.
LARGEST = 1.7976931348623157e308


class CellError(Exception):
    """An error value on its way through a formula."""

    def __init__(self, value: ErrorValue) -> None:
        super().__init__(value.value)
        self.value = value


class NotSupported(Exception):
    """Something that this engine cannot compute; becomes "not evaluated" with the message as its reason."""


def number(value: Operand) -> float:
    """Return a scalar as a number: blank is 0, logicals are 0 and 1, number-like text is read.

    Errors: CellError of the value itself or #VALUE!; NotSupported for text whose reading depends on the language.
    """
    if type(value) is float:
        return value
    if value is None:
        return 0.0
    if type(value) is bool:
        return 1.0 if value else 0.0
    if type(value) is str:
        return number_from_text(value)
    if isinstance(value, ErrorValue):
        raise CellError(value)
    raise CellError(ErrorValue.VALUE)


def text(value: Operand) -> str:
    """Return a scalar as text; blank is an empty text."""
    if type(value) is str:
        return value
    if value is None:
        return ""
    if type(value) is float:
        return general(value)
    if type(value) is bool:
        return "TRUE" if value else "FALSE"
    if isinstance(value, ErrorValue):
        raise CellError(value)
    raise CellError(ErrorValue.VALUE)


def truth(value: Operand) -> bool:
    """Return a scalar as a logical: numbers other than 0 are TRUE, text only as the words TRUE and FALSE."""
    if type(value) is bool:
        return value
    if type(value) is float:
        return value != 0.0
    if value is None:
        return False
    if isinstance(value, ErrorValue):
        raise CellError(value)
    if type(value) is str and value.upper() in ("TRUE", "FALSE"):
        return value.upper() == "TRUE"
    raise CellError(ErrorValue.VALUE)


def scalar(value: Operand) -> Value:
    """Return a scalar as it is, raising the error that it may be."""
    if isinstance(value, ErrorValue):
        raise CellError(value)
    if value is None or isinstance(value, float | str | bool):
        return value
    raise CellError(ErrorValue.VALUE)


def caught(compute: Callable[[], Operand]) -> Operand:
    """Return what a part of a formula gives, its error as a value."""
    try:
        return compute()
    except CellError as error:
        return error.value


def checked(result: float) -> float:
    """Return a computed number, or raise #NUM! for one that no cell can hold."""
    if -LARGEST <= result <= LARGEST:
        return result
    raise CellError(ErrorValue.NUM)


def fifteen(value: float) -> float:
    """Return the number that the 15 significant digits of a spreadsheet program stand for."""
    return float(f"{value:.15g}")


def general(value: float) -> str:
    """Return a number as the General format shows it, with up to 15 digits.

    Source: 0.1+0.2 shows 0.3, 1E+20 and 1E-05 show an exponent; from memory, checked against LibreOffice in the tests.
    """
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    shown = f"{value:.15g}".upper()
    if "E" not in shown:
        return shown
    mantissa, exponent = shown.split("E")
    return f"{mantissa}E{exponent[0]}{exponent[1:].lstrip('0').zfill(2)}"


_PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?")
_ISO_DATE = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
#: Text that some program, in some language, reads as a date, a time, money or a fraction.
_DOUBTFUL = re.compile(
    r"[0-9]\s*[-/:.,' ]\s*[0-9]|[$€£¥]|^\(.*[0-9].*\)$|[0-9]\s*(?:AM|PM)\b|^[0-9].*[A-Za-z]{3}.*[0-9]", re.I
)


def number_from_text(written: str) -> float:
    """Return the number that a text stands for when a number is wanted.

    Errors: #VALUE! for text that is no number; NotSupported where the answer depends on the program's language.
    """
    body = written.strip()
    if _PLAIN.fullmatch(body):
        return checked(float(body))
    if body.endswith("%") and _PLAIN.fullmatch(body[:-1].rstrip()):
        return checked(float(body[:-1]) / 100)
    if _THOUSANDS.fullmatch(body):
        return float(body.replace(",", ""))
    if _DOUBTFUL.search(body):
        raise NotSupported(f"the text {written!r} used as a number depends on the language of the program")
    raise CellError(ErrorValue.VALUE)


def iso_date(written: str) -> date | None:
    """Return the day that a text such as 2024-05-31 names, or None for any other text."""
    match = _ISO_DATE.fullmatch(written.strip())
    if match is None:
        return None
    try:
        return date(int(match[1]), int(match[2]), int(match[3]))
    except ValueError:
        return None
