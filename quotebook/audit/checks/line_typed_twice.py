"""The same line stands twice, one below the other.

What it finds
    Neighbouring operations with the same work center, description, setup and cycle; buyouts and nonrecurring lines
    with the same words and figures.

Why it costs money
    The cost is in the price twice, and the order goes to somebody else.

Faulty
    20 Mill 2 h 8 min | 30 Mill 2 h 8 min

Sound
    20 Mill 2 h 8 min | 30 Lathe 1 h 5 min

How to mend
    Empty one of the two lines.

False alarms
    Two clampings that take the same time. Give them descriptions that differ.

Source
    Catalogue row V28.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.values import Value

CHECK = Check("line-typed-twice", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V28",))
#: Key of a table, and the fields that must all be alike; at least one of the last ones must hold a figure.
_TABLES = {
    "operation_number": (
        ("operation_description", "operation_work_center", "operation_hand_rate"),
        ("setup_base_hours", "cycle_minutes", "load_minutes", "scrap_share"),
    ),
    "nonrecurring_description": (
        ("nonrecurring_description", "nonrecurring_rate"), ("nonrecurring_hours", "nonrecurring_purchase"),
    ),
    "cutting_operation": (
        ("cutting_operation", "cutting_feature", "cutting_kind"),
        ("cutting_length", "cutting_volume", "cutting_other_seconds", "cutting_diameter", "cutting_end_diameter",
         "cutting_width", "cutting_depth"),
    ),
}  # fmt: skip


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per repeated row, at its first cell."""
    for key, (words, figures) in _TABLES.items():
        rows = list(rows_of(view, key))
        for before, row in pairwise(rows):
            same = all(_plain(view, name, before) == _plain(view, name, row) for name in (*words, *figures))
            cell = view.field_cell(words[0], row)
            filled = any(view.field_number(name, row) for name in figures)
            if not same or not filled or cell is None or not any(view.field_value(name, row) for name in words):
                continue
            yield tell(
                view, CHECK, cell, "the same as the line above", "a line of its own", "Empty one of the two lines.",
                by_value(f"{view.field_name(cell)}: {shown(view.value(cell))} again"),
                by_contract(f"rows {before + 1} and {row + 1} of the table"),
            )  # fmt: skip


def _plain(view: BookView, name: str, row: int) -> Value:
    """Return what a cell says, a 0 like a blank."""
    return view.field_value(name, row) or None
