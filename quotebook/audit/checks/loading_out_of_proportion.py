"""The time to load does not go with the pieces in a load, or with the work on them.

What it finds
    Operations in which a piece of a load of several is loaded and unloaded in less than nine seconds, or in which
    loading a piece takes five minutes or more and longer than its cycle.

Why it costs money
    Load time is divided by the pieces in a load: 10 typed for 1 takes nine tenths of it out of the price.

Faulty
    0.7 min per load, 10 pieces per load: 4 s a piece

Sound
    0.7 min per load, 1 piece per load

How to mend
    Correct the minutes of a load or the pieces in it.

False alarms
    Hoppers and robots; leave the load time empty for these. Heavy parts with a short cycle. The limits are common
    practice, no source.

Source
    Catalogue rows V4 and V11; fault kind "fat finger".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "loading-out-of-proportion", Severity.LOOK_AT_IT, (Need.CONTRACT, Need.RECOMPUTED), When.WRONG_NOW, Kind.HAND_SLIP,
    ("V4", "V11"),
)  # fmt: skip
#: Minutes that hands need at least for a piece of several, and from which on loading is held against the cycle.
LEAST, LONG = 0.15, 5.0


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding per operation."""
    for row in rows_of(view, "operation_number"):
        minutes, pieces = view.field_number("load_minutes", row), view.field_number("pieces_per_load", row) or 1.0
        cycle = view.field_number("cycle_used", row)
        if not minutes or pieces < 1:
            continue
        each = minutes / pieces
        if pieces > 1 and each < LEAST:
            cell, expected = view.field_cell("pieces_per_load", row), f"{LEAST:g} min and more for each"
            right = pieces / 10 if pieces % 10 == 0 else None
        elif each >= LONG and cycle and each > cycle:
            cell, expected = view.field_cell("load_minutes", row), f"less than the cycle of {shown(cycle)} min"
            right = None
        else:
            continue
        if cell is not None:
            yield tell(
                view, CHECK, cell, f"{shown(minutes)} min for a load of {shown(pieces)}", expected,
                "Correct the minutes of a load or the pieces in it.", by_value(f"{shown(60 * each)} s for each piece"),
                by_contract("the minutes of a load are shared by its pieces"),
                put_right={cell: right} if right else {},
            )  # fmt: skip
