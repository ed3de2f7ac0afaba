"""Cells are merged across lines of figures.

What it finds
    Merged areas over several rows or columns of which formulas read more than the first cell.

Why it costs money
    What was in the covered cells is gone or still counts unseen.

Faulty
    E6:E7 merged, the total is =SUM(E5:E9)

Sound
    one figure for each line

How to mend
    Undo the merge and fill in each line.

False alarms
    Headings, which are merged nearly everywhere, hold no figures that are read.

Source
    Catalogue row F44; 68 of 274 measured real workbooks merge something.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Span
from quotebook.audit.telling import fact, shape, told
from quotebook.audit.view import BookView
from quotebook.values import Address
from quotebook.workbook.areas import parse_area

CHECK = Check(
    "merged-lines", Severity.LOOK_AT_IT, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F44",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each merged area inside a block that formulas read."""
    grid = foreign(view).grid
    for sheet in view.snapshot.sheets:
        for text in sheet.merged:
            area = parse_area(text)
            if area is None or area.size > 500 or grid.text(Address(sheet.title, area.first_row, area.first_column)):
                continue
            cells = [Address(sheet.title, row, column) for row, column in _inside(area)]
            if sum(bool(grid.users.get(cell)) for cell in cells) < 2 or grid.number(cells[0]) is None:
                continue
            full = [cell for cell in cells[1:] if not grid.is_blank(cell)]
            yield told(
                CHECK,
                Span(sheet.title, area.first_row, area.first_column, area.last_row, area.last_column),
                f"merged cells {text}" + (f" with {len(full)} covered figure(s)" if full else ""),
                "one figure for each line",
                "Undo the merge and fill in each line.",
                shape("formulas read more than one of the merged cells"),
                *([fact("covered figures still count")] if full else []),
                severity=Severity.PROBABLY_WRONG if full else CHECK.severity,
            )


def _inside(area: tuple[int, int, int, int]) -> Iterator[tuple[int, int]]:
    for row in range(area[0], area[2] + 1):
        for column in range(area[1], area[3] + 1):
            yield row, column
