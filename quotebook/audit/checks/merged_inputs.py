"""Cells of the workbook were merged.

What it finds
    Merged cells that cover a field, a label or a unit of the workbook as made.

Why it costs money
    Merging keeps the first cell and swallows the rest: entries or formulas are gone.

Faulty
    Cycle and Load of operation 20 merged into one cell

Sound
    two cells

How to mend
    Unmerge the cells and fill in what was swallowed.

False alarms
    Merging blank cells beside the tables is not reported.

Source
    Catalogue row S21.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView
from quotebook.values import Address
from quotebook.workbook.areas import parse_area

CHECK = Check("merged-inputs", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("S21",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per merged area."""
    for sheet in view.snapshot.sheets:
        for text in sheet.merged:
            area = parse_area(text)
            if area is None or area.size > 10_000:
                continue
            rows, columns = range(area.first_row, area.last_row + 1), range(area.first_column, area.last_column + 1)
            cells = [Address(sheet.title, row, column) for row in rows for column in columns]
            own = [cell for cell in cells if cell in view.fields_at or cell in promised(view).other_cells]
            if own:
                yield tell(
                    view, CHECK, cells, f"merged cells {text}", "cells of their own",
                    "Unmerge the cells and fill in what was swallowed.",
                    by_contract(f"{len(own)} cells of the workbook are under it"), field=view.field_name(own[0]),
                )  # fmt: skip
