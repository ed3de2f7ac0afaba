"""A charge beside the work is out of proportion to what it goes with.

What it finds
    Packing or freight of a lot that is more than a quarter of the price of the largest lot, packing or freight of a
    piece that is more than a quarter of its price there, and final inspection that takes longer than making the piece.

Why it costs money
    300 typed for 30 is charged to the customer, who then buys elsewhere; nobody looks at the small lines.

Faulty
    freight per lot 320   lot of 50 at 900

Sound
    freight per lot 32    lot of 50 at 900

How to mend
    Compare it with the carrier's or supplier's offer.

False alarms
    Small cheap parts sent far away; parts of which every one is measured all over. The limits are common practice, no
    source.

Source
    Catalogue rows V21 and V31; fault kind "fat finger".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "charge-out-of-proportion", Severity.LOOK_AT_IT, (Need.CONTRACT, Need.PRICE), When.WRONG_NOW, Kind.HAND_SLIP,
    ("V21", "V31"),
)  # fmt: skip
#: The largest share of the price that packing, or freight, is taken for meant.
MOST = 0.25


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding per charge."""
    lot = max(view.lots, key=lambda number: view.field_number("lot_size", number) or 0.0, default=None)
    price = view.field_number("goods_price", lot) if lot is not None else None
    size = view.field_number("lot_size", lot) if lot is not None else None
    if not price or not size or lot is None:
        return
    for name, whole in (
        ("packing_per_lot", price), ("freight_per_lot", price),
        ("packing_per_piece", price / size), ("freight_per_piece", price / size),
    ):  # fmt: skip
        yield from _above(view, name, 0, MOST * whole, f"the largest lot is sold at {price:,.2f}")
    yield from _inspection(view)


def _above(view: BookView, name: str, row: int, most: float, reason: str) -> Iterator[Finding]:
    cell, charge = view.field_cell(name, row), view.field_number(name, row)
    if cell is not None and charge and charge > most:
        yield tell(
            view, CHECK, cell, shown(charge), f"at most about {most:.3g}", "Compare it with the offer that it is from.",
            by_value(reason), by_contract(f"{name} comes on top"),
        )  # fmt: skip


def _inspection(view: BookView) -> Iterator[Finding]:
    """Compare the inspection of one piece with making it."""
    made = [view.field_number("run_minutes", row) or 0.0 for row in rows_of(view, "operation_number")]
    if sum(made):
        yield from _above(view, "inspection_minutes", 0, sum(made), f"making a piece takes {sum(made):.3g} min")
