"""Something is typed below the last row of a table, where nothing is added up.

What it finds
    Figures and texts typed directly under a table, in the columns of its inputs.

Why it costs money
    The line looks like part of the table, but its formulas end above it: the cost is missing from the price.

Faulty
    row 24 of 24 | Deburr | 0.5 h
                 | Wash   | 0.2 h         (typed in the blank row below)

Sound
    row 25 of 25 | Wash   | 0.2 h         (a row inserted inside the table, formulas copied)

How to mend
    Move the entries into a spare row of the table. If none is left, make a workbook with more rows
    (quotebook new NEW.xlsx --like OLD.xlsx --rows routing=40).

False alarms
    A remark typed under a table on purpose; that is why text alone is the lesser finding.

Source
    Catalogue row S8; fault kind "line below the line".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("entry-below-table", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, ("S8",))
#: Rows below a table that are looked at.
ROWS_BELOW = 3


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per row below a table."""
    told = promised(view)
    known = {other.address for other in told.broken_others} | set(told.other_cells)
    for (sheet, _), columns in told.tables.items():
        inputs = [placed for placed in columns if placed.field.is_input]
        if not inputs:
            continue
        end = inputs[0].row + inputs[0].rows
        for row in range(end, end + ROWS_BELOW):
            cells = [Address(sheet, row, placed.column) for placed in inputs]
            typed = [cell for cell in cells if view.stored(cell) is not None and view.formula(cell) is None]
            typed = [cell for cell in typed if cell not in known and cell not in view.fields_at]
            if not typed:
                continue
            numbers = any(isinstance(view.stored(cell), float) for cell in typed)
            yield tell(
                view, CHECK, typed, ", ".join(view.content(cell) for cell in typed), "nothing below the table",
                "Move the entries into a spare row of the table.",
                by_contract(f"the table ends in row {end - 1}"),
                severity=None if numbers else Severity.LOOK_AT_IT,
                field=inputs[0].field.name,
            )  # fmt: skip
