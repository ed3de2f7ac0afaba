"""Pieces are loaded faster than hands can do it.

What it finds
    Operations whose loading and unloading takes less than six seconds a piece, and loads of more pieces than the
    smallest lot has.

Why it costs money
    Load time is divided by the pieces in a load: 10 typed for 1 takes nine tenths of it out of the price.

Faulty
    0.7 min per load, 10 pieces per load: 4 s a piece

Sound
    0.7 min per load, 1 piece per load

How to mend
    Correct the minutes of a load or the pieces in it.

False alarms
    Bar feeders, hoppers and robots; leave the load time empty for these. The limit is common practice, no source.

Source
    Catalogue rows V4 and V11; fault kind "fat finger".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check("hasty-loading", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("V4", "V11"))
#: Minutes for one piece that hands need at least.
LEAST = 0.15


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding per operation."""
    for row in rows_of(view, "operation_number"):
        cell = view.field_cell("pieces_per_load", row)
        minutes, pieces = view.field_number("load_minutes", row), view.field_number("pieces_per_load", row)
        if cell is None or not minutes or not pieces or pieces <= 1 or minutes / pieces >= LEAST:
            continue
        yield tell(
            view, CHECK, cell, f"{shown(pieces)} pieces in a load of {shown(minutes)} min",
            f"{LEAST:g} min and more for each", "Correct the minutes of a load or the pieces in it.",
            by_value(f"{60 * minutes / pieces:.1f} s for each piece"),
            by_contract("the minutes of a load are shared by its pieces"),
            put_right={cell: pieces / 10} if pieces % 10 == 0 else {},
        )  # fmt: skip
