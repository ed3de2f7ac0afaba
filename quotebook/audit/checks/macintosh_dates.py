"""The workbook counts days from 1904.

What it finds
    The date system of old Macintosh workbooks.

Why it costs money
    A date copied from or to another workbook is four years and a day off.

Faulty
    date1904 is set

Sound
    the usual date system

How to mend
    Switch the date system in the options and correct the dates.

False alarms
    Workbooks that have always been so (23 of 2,344 measured) and exchange no dates.

Source
    Catalogue row H8; the two systems differ by 1,462 days, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("macintosh-dates", Severity.LOOK_AT_IT, ANY, When.WILL_GO_WRONG, Kind.FILE, rows=("H8",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    if view.snapshot.calculation.date1904:
        yield told(
            CHECK,
            None,
            "days counted from 1904",
            "days counted from 1900",
            "Switch the date system and correct the dates; check dates pasted from other files.",
            fact("a date pasted from another workbook is 1,462 days off"),
        )
