"""Rows of a table were deleted.

What it finds
    Tables with fewer rows than the workbook was made with.

Why it costs money
    A row deleted in haste may have held an operation or a purchase. What it held cannot be told from the file.

Faulty
    Routing: 22 rows

Sound
    Routing: 24 rows, those not needed left blank

How to mend
    Compare with an earlier copy. Blank rows cost nothing: empty a line in place of deleting its row.

False alarms
    Spare rows deleted to shorten a printed page.

Source
    Catalogue row S9.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check("removed-rows", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, ("S9",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per shortened table."""
    assert view.contract is not None, "the check needs a contract"
    for (sheet, _), columns in promised(view).tables.items():
        first = columns[0]
        made = view.contract.fields[first.field.name].rows
        if 0 < first.rows < made:
            last = Address(sheet, first.row + first.rows - 1, first.column)
            yield tell(
                view, CHECK, last, f"{first.rows} rows", f"{made} rows",
                "Compare with an earlier copy; leave lines that are not needed blank.",
                by_contract("the workbook was made with more rows"),
            )  # fmt: skip
