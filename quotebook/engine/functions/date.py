"""Days and times as serial numbers, in either date system."""

from __future__ import annotations

import math
from calendar import monthrange
from datetime import date, timedelta

from quotebook.engine.arrays import Operand
from quotebook.engine.convert import CellError, NotSupported, fifteen, iso_date
from quotebook.engine.functions.gather import numbers
from quotebook.engine.registry import function
from quotebook.engine.runtime import Environment
from quotebook.values import ErrorValue

#: The last day that cells hold, 9999-12-31, in the 1900 system.
LAST_SERIAL = 2_958_465
_SHIFT_1904 = 1462


def parts(serial: float, date1904: bool) -> tuple[int, int, int]:
    """Return year, month and day of a serial number; 0 is 1900-01-00 and 60 the 29 February 1900 that never was.

    Source: the 1900 date system with its known leap-year fault, from memory.
    """
    whole = math.floor(serial) + (_SHIFT_1904 if date1904 else 0)
    if serial < 0 or whole > LAST_SERIAL:
        raise CellError(ErrorValue.NUM)
    if whole == 0:
        return 1900, 1, 0
    if whole == 60:
        return 1900, 2, 29
    day = date(1899, 12, 30 if whole > 60 else 31) + timedelta(days=whole)
    return day.year, day.month, day.day


def serial_of(day: date, date1904: bool) -> float:
    """Return the serial number of a day."""
    whole = (day - date(1899, 12, 30)).days
    if whole < 61:
        whole -= 1
    whole -= _SHIFT_1904 if date1904 else 0
    if whole < 0:
        raise CellError(ErrorValue.NUM)
    return float(whole)


def _from_parts(year: int, month: int, day: int, date1904: bool) -> float:
    year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
    if not 1899 <= year <= 9999:
        raise CellError(ErrorValue.NUM)
    # Days are added to the serial number, so 29 February 1900 is day 60 here as it is in the spreadsheet program.
    first = (date(year, month, 1) - date(1899, 12, 30)).days
    whole = (first - 1 if first < 61 else first) + day - 1
    if date1904:
        whole = first + day - 1 - _SHIFT_1904
    if whole < 0 or whole + (_SHIFT_1904 if date1904 else 0) > LAST_SERIAL:
        raise CellError(ErrorValue.NUM)
    return float(whole)


@function("DATE", "n n n", "n", environment=True)
def day_of(env: Environment, year: float, month: float, day: float) -> float:
    """Return the serial number of year, month and day; months and days may run over."""
    whole = math.floor(year)
    if whole < (1904 if env.date1904 else 1900):
        whole += 1900
    if year < 0 or whole > 9999 or abs(month) > 200_000 or abs(day) > 4_000_000:
        raise CellError(ErrorValue.NUM)
    return _from_parts(whole, math.floor(month), math.floor(day), env.date1904)


@function("YEAR", "n", "n", environment=True)
def year_of(env: Environment, serial: float) -> float:
    """Return the year."""
    return float(parts(serial, env.date1904)[0])


@function("MONTH", "n", "n", environment=True)
def month_of(env: Environment, serial: float) -> float:
    """Return the month."""
    return float(parts(serial, env.date1904)[1])


@function("DAY", "n", "n", environment=True)
def day_in_month(env: Environment, serial: float) -> float:
    """Return the day of the month."""
    return float(parts(serial, env.date1904)[2])


def weekday_number(serial: float, date1904: bool) -> int:
    """Return the day of the week, Sunday being 0."""
    whole = math.floor(serial) + (_SHIFT_1904 if date1904 else 0)
    if serial < 0:
        raise CellError(ErrorValue.NUM)
    return (whole - 1) % 7


@function("WEEKDAY", "n [n]", "n", environment=True)
def weekday(env: Environment, serial: float, kind: float = 1.0) -> float:
    """Return the day of the week: kind 1 counts from Sunday 1, 2 from Monday 1, 3 from Monday 0, 11 to 17 from each."""
    day = weekday_number(serial, env.date1904)
    if kind == 3:
        return float((day - 1) % 7)
    firsts = {1: 0, 2: 1, **{11 + offset: (1 + offset) % 7 for offset in range(7)}}
    if int(kind) not in firsts:
        raise CellError(ErrorValue.NUM)
    return float((day - firsts[int(kind)]) % 7 + 1)


@function("WEEKNUM", "n [n]", "n", environment=True)
def week_number(env: Environment, serial: float, kind: float = 1.0) -> float:
    """Return the week of the year; kinds 1 and 2 begin with the week of 1 January, 21 counts as ISO 8601 does."""
    year, _, _ = parts(serial, env.date1904)
    if kind == 21:
        return iso_week(env, serial)  # type: ignore[no-any-return]
    firsts = {1: 0, 2: 1, **{11 + offset: (1 + offset) % 7 for offset in range(7)}}
    if int(kind) not in firsts:
        raise CellError(ErrorValue.NUM)
    new_year = _from_parts(year, 1, 1, env.date1904)
    offset = (weekday_number(new_year, env.date1904) - firsts[int(kind)]) % 7
    return float((math.floor(serial) - int(new_year) + offset) // 7 + 1)


@function("ISOWEEKNUM", "n", "n", environment=True)
def iso_week(env: Environment, serial: float) -> float:
    """Return the week of the year after ISO 8601."""
    year, month, day = parts(serial, env.date1904)
    if day == 0 or (year, month, day) == (1900, 2, 29):
        raise CellError(ErrorValue.NUM)
    return float(date(year, month, day).isocalendar().week)


def _months_later(serial: float, months: float, date1904: bool) -> tuple[int, int, int]:
    year, month, day = parts(serial, date1904)
    month += math.trunc(months)
    year, month = year + (month - 1) // 12, (month - 1) % 12 + 1
    if not 1899 <= year <= 9999:
        raise CellError(ErrorValue.NUM)
    return year, month, day


@function("EDATE", "n n", "n", environment=True)
def months_later(env: Environment, serial: float, months: float) -> float:
    """Return the same day some months later, or the last of a shorter month."""
    year, month, day = _months_later(serial, months, env.date1904)
    return _from_parts(year, month, min(day, monthrange(year, month)[1]), env.date1904)


@function("EOMONTH", "n n", "n", environment=True)
def month_end(env: Environment, serial: float, months: float) -> float:
    """Return the last day of the month some months later."""
    year, month, _ = _months_later(serial, months, env.date1904)
    return _from_parts(year, month, monthrange(year, month)[1], env.date1904)


@function("DAYS", "n n", "n")
def days(end: float, start: float) -> float:
    """Return the days from start to end."""
    return float(math.floor(end) - math.floor(start))


def _is_workday(serial: int, free: set[int], date1904: bool) -> bool:
    return weekday_number(serial, date1904) not in (0, 6) and serial not in free


def _holidays(holidays: Operand) -> set[int]:
    return set() if holidays is None else {math.floor(value) for value in numbers((holidays,))}


@function("NETWORKDAYS", "n n [a]", "n", environment=True)
def workdays_between(env: Environment, start: float, end: float, holidays: Operand = None) -> float:
    """Count the days from Monday to Friday, both ends included, holidays left out."""
    first, last = math.floor(start), math.floor(end)
    if first < 0 or last < 0 or max(first, last) > LAST_SERIAL:
        raise CellError(ErrorValue.NUM)
    direction = 1 if first <= last else -1
    low, high = min(first, last), max(first, last)
    weeks, rest = divmod(high - low + 1, 7)
    count = weeks * 5
    count += sum(_is_workday(day, set(), env.date1904) for day in range(high - rest + 1, high + 1))
    free = _holidays(holidays)
    count -= sum(1 for day in free if low <= day <= high and _is_workday(day, set(), env.date1904))
    return float(direction * count)


@function("WORKDAY", "n n [a]", "n", environment=True)
def workday(env: Environment, start: float, count: float, holidays: Operand = None) -> float:
    """Return the day some workdays later."""
    day, left = math.floor(start), math.trunc(count)
    if abs(left) > 1_000_000 or day < 0:
        raise CellError(ErrorValue.NUM)
    free = _holidays(holidays)
    direction = 1 if left > 0 else -1
    while left:
        day += direction
        if day < 0 or day > LAST_SERIAL:
            raise CellError(ErrorValue.NUM)
        if _is_workday(day, free, env.date1904):
            left -= direction
    return float(day)


@function("TODAY", "", "n", environment=True, volatile=True)
def today(env: Environment) -> float:
    """Return the day of the run."""
    return serial_of(env.now.date(), env.date1904)


@function("NOW", "", "n", environment=True, volatile=True)
def now(env: Environment) -> float:
    """Return the moment of the run."""
    moment = env.now
    seconds = moment.hour * 3600 + moment.minute * 60 + moment.second
    return serial_of(moment.date(), env.date1904) + seconds / 86_400


@function("TIME", "n n n", "n")
def time_of(hours: float, minutes: float, seconds: float) -> float:
    """Return a time as part of a day; whole days are cut off."""
    total = math.trunc(hours) * 3600 + math.trunc(minutes) * 60 + math.trunc(seconds)
    if total < 0 or max(hours, minutes, seconds) > 32_767:
        raise CellError(ErrorValue.NUM)
    return total % 86_400 / 86_400


def seconds_of_day(serial: float) -> int:
    """Return the time of a serial number in whole seconds, rounded."""
    if serial < 0:
        raise CellError(ErrorValue.NUM)
    return math.floor(fifteen((serial - math.floor(serial)) * 86_400) + 0.5) % 86_400


@function("HOUR", "n", "n")
def hour(serial: float) -> float:
    """Return the hour."""
    return float(seconds_of_day(serial) // 3600)


@function("MINUTE", "n", "n")
def minute(serial: float) -> float:
    """Return the minute."""
    return float(seconds_of_day(serial) // 60 % 60)


@function("SECOND", "n", "n")
def second(serial: float) -> float:
    """Return the second."""
    return float(seconds_of_day(serial) % 60)


@function("DATEVALUE", "t", "n", environment=True)
def date_value(env: Environment, written: str) -> float:
    """Return the serial number of a day written as 2024-05-31; other ways of writing depend on the language."""

    day = iso_date(written)
    if day is not None:
        return serial_of(day, env.date1904)
    if any(character.isdigit() for character in written):
        raise NotSupported(f"DATEVALUE of {written!r} depends on the language of the program")
    raise CellError(ErrorValue.VALUE)
