"""A row stands directly below a table object and is not part of it.

What it finds
    Rows with entries directly under a table (list object) without a totals row, in at least half of its columns and of
    the same kinds as the row above.

Why it costs money
    Formulas that use the table's columns do not see the row: its cost is missing.

Faulty
    table A4:D9, and row 10 filled in like row 9

Sound
    table A4:D10

How to mend
    Drag the table's corner down over the row, or type it again directly in the table.

False alarms
    Totals typed by hand under a table: formulas are not taken for rows.

Source
    Catalogue row S22.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import tell
from quotebook.audit.finding import ANY, Check, Evidence, Finding, Kind, Proof, Severity, When
from quotebook.audit.view import BookView
from quotebook.values import Address
from quotebook.workbook.areas import parse_area

CHECK = Check("row-below-list", Severity.PROBABLY_WRONG, ANY, When.WRONG_NOW, Kind.LEFT_OUT, ("S22",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per table."""
    for table in view.snapshot.tables:
        area = parse_area(table.range)
        if area is None or table.totals_rows or area.last_row == area.first_row:
            continue
        columns = range(area.first_column, min(area.last_column, area.first_column + 200) + 1)
        typed = []
        for column in columns:
            above = view.stored(Address(table.sheet, area.last_row, column))
            below = Address(table.sheet, area.last_row + 1, column)
            value = view.stored(below)
            if value is not None and view.formula(below) is None and type(value) is type(above):
                typed.append(below)
        if typed and len(typed) * 2 >= len(columns):
            yield tell(
                view, CHECK, typed, f"a row under the table {table.name}", f"the row inside {table.name}",
                "Extend the table over the row.",
                Evidence(Proof.SHAPE, f"it is filled in like the table's last row, {area.last_row}"),
                Evidence(Proof.VALUE, "its entries are of the same kinds"),
            )  # fmt: skip
