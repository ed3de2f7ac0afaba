"""A day that spreadsheet programs do not agree on.

What it finds
    Cells shown as a day whose number is negative, or stands for a day before March 1900.

Why it costs money
    Programs count a 29 February 1900 that never was, or they do not: the same number is another day in each, and a
    negative one is an error in some. Mostly such a number is no date at all: a price or a count in a date's format,
    that nobody can read.

Faulty
    45 shown as 1900-02-14

Sound
    45 shown as 45; 45,000 shown as 2023-03-15

How to mend
    Give the cell a number format, or type the date.

False alarms
    A duration that is shown as days and hours on purpose.

Source
    Catalogue row H20; that serial 60 is 29 February 1900 in spreadsheet programs, from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import label, told, value
from quotebook.audit.view import BookView, shown
from quotebook.values import Address
from quotebook.workbook.snapshot import Style

CHECK = Check("doubtful-date", Severity.REMARK, ANY, When.WRONG_NOW, Kind.FILE, rows=("H20",))

#: The day after which all programs agree, 1 March 1900. A blank that is read counts 0, which nobody takes for a day.
FIRST_SURE = 61
#: A format with a year in it, its quoted texts, conditions and colours left out.
_QUOTED = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.')


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each cell; like ones beside each other are folded to one."""
    facts = foreign(view)
    days = {number for number, style in enumerate(view.snapshot.styles) if _is_day(style)}
    for sheet in view.snapshot.sheets:
        for (row, column), content in sheet.cells.items():
            if content.style not in days:
                continue
            cell = Address(sheet.title, row, column)
            number = view.number(cell)
            if number is None or not number or number >= FIRST_SURE:
                continue
            if 0 < number < 1:
                continue  # a time of day
            yield told(
                CHECK,
                cell,
                f"{shown(number)} in the format {view.style(cell).number_format}",
                "a number format, or a day from March 1900 on",
                "Give the cell a number format, or type the date.",
                value("programs do not agree on this day"),
                label(f'labelled "{facts.labels.of(cell)}"'),
                alike="day",
            )


def _is_day(style: Style) -> bool:
    return style.is_date and "y" in _QUOTED.sub("", style.number_format).casefold()
