"""A larger lot costs more per piece than a smaller one, or less in all.

What it finds
    Quantities whose unit price is higher than at the next smaller one, or whose extended price is lower.

Why it costs money
    The customer orders twice the smaller lot, or asks what is wrong with the sheet.

Faulty
    25 pieces at 12.00 | 50 pieces at 12.40

Sound
    25 pieces at 12.00 | 50 pieces at 11.10

How to mend
    Look at the element that rises, on the Price sheet; look for a supplier price that was chosen for one lot only.

False alarms
    A pack, a bar or a plate more than the smaller lot needs can make a unit price rise lawfully.

Source
    Catalogue row V6.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "rising-unit-price", Severity.LOOK_AT_IT, (Need.CONTRACT, Need.RECOMPUTED), When.WRONG_NOW, Kind.REASONING, ("V6",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per lot, at its unit or extended price."""
    for before, lot in zip(view.lots, view.lots[1:], strict=False):
        unit = (view.field_number("unit_price", before), view.field_number("unit_price", lot))
        whole = (view.field_number("extended_price", before), view.field_number("extended_price", lot))
        for name, pair, wrong, wanted in (
            ("unit_price", unit, 1, "at most"), ("extended_price", whole, -1, "at least"),
        ):  # fmt: skip
            cell = view.field_cell(name, lot)
            if cell is None or pair[0] is None or pair[1] is None or (pair[1] - pair[0]) * wrong <= 0:
                continue
            yield tell(
                view, CHECK, cell, shown(pair[1]), f"{wanted} {shown(pair[0])}",
                "Look for the element that rises on the Price sheet.",
                by_value(f"the lot of {shown(view.field_number('lot_size', before))} costs {shown(pair[0])}"),
                by_contract("a larger lot should cost less per piece and more in all"),
                explained_by=view.links.ancestors([cell]),
            )  # fmt: skip
