"""Dates and times as a number format shows them, with English names of days and months."""

from __future__ import annotations

import math

from quotebook.engine.convert import CellError, NotSupported, fifteen
from quotebook.engine.functions.date import LAST_SERIAL, parts, weekday_number
from quotebook.values import ErrorValue

_MONTHS: tuple[str, ...] = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
)
_MONTHS += ("November", "December")
_DAYS = ("Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday")
Token = tuple[str, str]


def show_date(value: float, section: list[Token], date1904: bool) -> str:
    """Return a serial number as the tokens of a format section show it. Errors: #VALUE! outside of the calendar."""
    if not 0 <= value <= LAST_SERIAL:
        raise CellError(ErrorValue.VALUE)
    seconds = math.floor(fifteen(value * 86_400) + 0.5)
    day, second = divmod(seconds, 86_400)
    twelve = any(kind == "half" for kind, _ in section)
    out = []
    for index, (kind, written) in enumerate(section):
        code = written.lower()
        if kind == "elapsed":
            out.append(_elapsed(code.strip("[]"), seconds))
        elif kind == "half":
            noon = second >= 43_200
            out.append((("A", "P") if len(written) == 3 else ("AM", "PM"))[noon])
        elif kind == "date":
            minutes = code[0] == "m" and len(code) <= 2 and _means_minutes(section, index)
            out.append(_time("n" + code[1:] if minutes else code, second, twelve) or _day(code, day, date1904))
        else:
            out.append(_plain(kind, written))
    return "".join(out)


def _plain(kind: str, written: str) -> str:
    if kind == "currency":
        language = written[2:-1].rsplit("-", 1)[-1].upper()
        if language not in ("409", "809", "1009", "C09"):  # the English ones
            raise NotSupported(f"dates in another language ({written}) are not supported")
        return ""
    if kind == "literal":
        return written[1:-1] if written.startswith('"') else written[1:]
    if kind == "blank":
        return " "
    if written in ("%", "@"):
        raise NotSupported("the number format mixes dates and other signs")
    return written


def _means_minutes(section: list[Token], index: int) -> bool:
    """m means minutes behind hours and before seconds, months elsewhere."""
    codes = [
        (place, text.strip("[]").lower()) for place, (kind, text) in enumerate(section) if kind in ("date", "elapsed")
    ]
    before = [code for place, code in codes if place < index]
    after = [code for place, code in codes if place > index]
    return bool(before and before[-1][0] == "h") or bool(after and after[0][0] == "s")


def _elapsed(code: str, seconds: int) -> str:
    unit = {"h": 3600, "m": 60, "s": 1}[code[0]]
    return str(seconds // unit).zfill(len(code))


def _time(code: str, second: int, twelve: bool) -> str:
    if code[0] == "h":
        hour = second // 3600
        if twelve:
            hour = hour % 12 or 12
        return str(hour).zfill(min(len(code), 2))
    if code[0] == "n":
        return str(second // 60 % 60).zfill(min(len(code), 2))
    return str(second % 60).zfill(min(len(code), 2)) if code[0] == "s" else ""


def _day(code: str, day: int, date1904: bool) -> str:
    year, month, number = parts(float(day), date1904)
    if code[0] == "y":
        return str(year) if len(code) > 2 else f"{year % 100:02d}"
    if code[0] == "m":
        name = _MONTHS[month - 1]
        return (str(month), f"{month:02d}", name[:3], name, name[0])[min(len(code), 5) - 1]
    name = _DAYS[weekday_number(float(day), date1904)]
    return (str(number), f"{number:02d}", name[:3], name)[min(len(code), 4) - 1]
