"""Working days: Monday to Friday without the shop's holidays."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

SATURDAY = 5


def is_working(day: date, holidays: Collection[date]) -> bool:
    """Tell whether the shop works on that day."""
    return day.weekday() < SATURDAY and day not in holidays


def add_working_days(start: date, days: int, holidays: Collection[date] = ()) -> date:
    """Return the day that is ``days`` working days after ``start``; 0 days is ``start`` itself, whatever day it is.

    The same count as a spreadsheet's WORKDAY. Source: common practice, no source.
    """
    day, closed = start, frozenset(holidays)
    while days > 0:
        day += timedelta(1)
        days -= is_working(day, closed)
    return day


def working_days_late(due: date, promised: date, holidays: Collection[date] = ()) -> int:
    """Return the working days after ``due`` up to and with ``promised``; 0 when it is not late."""
    late, day, closed = 0, due, frozenset(holidays)
    while day < promised:
        day += timedelta(1)
        late += is_working(day, closed)
    return late
