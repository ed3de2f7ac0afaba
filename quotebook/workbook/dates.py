"""Day numbers as spreadsheet programs count them.

1900 system: 1 January 1900 is 1, and 29 February 1900, which never was, is 60. 1904 system: 1 January 1904 is 0.
"""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

_EPOCH_1900 = datetime(1899, 12, 30)
_EPOCH_1904 = datetime(1904, 1, 1)
_FIRST_OF_MARCH_1900 = 61
_DAY = timedelta(days=1)
_TIME_ONLY = re.compile(r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?\Z")


def serial_of(moment: date | datetime, date1904: bool = False) -> float:
    """Return the day number of a date, with the time of day as its fraction."""
    if not isinstance(moment, datetime):
        moment = datetime.combine(moment, time())
    moment = moment.replace(tzinfo=None)
    if date1904:
        return (moment - _EPOCH_1904) / _DAY
    serial = (moment - _EPOCH_1900) / _DAY
    return serial if serial >= _FIRST_OF_MARCH_1900 else serial - 1


def serial_of_iso(text: str, date1904: bool = False) -> float | None:
    """Return the day number of an ISO date, date with time, or time; None if the text is none of them."""
    text = text.strip()
    try:
        if _TIME_ONLY.match(text):
            clock = time.fromisoformat(text.zfill(5))
            return (datetime.combine(date.min, clock) - datetime.min) / _DAY
        return serial_of(datetime.fromisoformat(text), date1904)
    except (ValueError, OverflowError):
        return None
