"""More pieces are counted on a bar than fit on it.

What it finds
    A typed number of pieces per bar that is larger than length, kerf and facing allow.

Why it costs money
    Too few bars are bought: the last pieces have no material.

Faulty
    50 pieces a bar (40 fit)

Sound
    40 pieces a bar

How to mend
    Empty the cell, so that the number is worked out.

False alarms
    Two pieces from one length (nested or split) are lawful.

Source
    Catalogue row V16.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "pieces-that-do-not-fit",
    Severity.LOOK_AT_IT,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.HAND_SLIP,
    ("V16",),
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding."""
    typed, fits = view.field_number("stock_pieces_per_unit"), view.field_number("stock_pieces_computed")
    cell = view.field_cell("stock_pieces_per_unit")
    if view.field_number("stock_is_bar") == 1 and typed and fits and typed > fits and cell is not None:
        yield tell(
            view, CHECK, cell, shown(typed), f"at most {shown(fits)}", "Empty the cell.",
            by_value(f"{shown(fits)} fit on the bar"), by_contract("the typed number overrules it"),
            put_right={cell: None},
        )  # fmt: skip
