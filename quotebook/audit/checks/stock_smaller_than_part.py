"""The part does not fit into the stock it is made from.

What it finds
    Stock whose sizes, sorted and in the same units, are smaller than the part's on the Job sheet; bars without any
    cut-off.

Why it costs money
    The bar or blank that is ordered cannot make the part: a second one has to be bought at the day's price.

Faulty
    part 100 x 60 x 40 | block 98 x 65 x 45

Sound
    part 100 x 60 x 40 | block 103 x 65 x 45

How to mend
    Correct the sizes; see that both are in the units that their cells say.

False alarms
    Castings and bent or welded parts can be larger than their stock; castings are not looked at.

Source
    Catalogue rows V12 and V13; fault kind "unit slip".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "stock-smaller-than-part",
    Severity.LOOK_AT_IT,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.HAND_SLIP,
    ("V12", "V13"),
)
_ROUND = ("round bar", "hex bar", "square bar", "tube")


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most two findings: sizes, and a missing cut-off."""
    part = [view.field_number(name) for name in ("part_length", "part_width", "part_height")]
    form = view.field_value("stock_form")
    a, b = view.field_number("stock_size_a"), view.field_number("stock_size_b")
    length, cell = view.field_number("stock_piece_length"), view.field_cell("stock_size_a")
    if form in _ROUND:
        b = a
    elif form not in ("flat bar", "plate", "block"):
        return
    if a is not None and b is not None and length is not None and cell is not None and None not in part:
        factor = _factor(view)
        stock = sorted(size * factor for size in (a, b, length))
        wanted = sorted(size for size in part if size is not None)
        if any(have < need * (1 - 1e-9) for have, need in zip(stock, wanted, strict=True)):
            yield tell(
                view, CHECK, cell, " x ".join(map(shown, stock)), "at least " + " x ".join(map(shown, wanted)),
                "Correct the sizes, and see that both are in the units their cells say.",
                by_value("sizes sorted, in drawing units"), by_contract("the part is described on the Job sheet"),
            )  # fmt: skip
    kerf, place = view.field_number("stock_kerf"), view.field_cell("stock_kerf")
    if view.field_number("stock_is_bar") == 1 and not kerf and place is not None:
        yield tell(
            view, CHECK, place, "no kerf or cut-off", "the width of the cut", "Type the kerf or cut-off.",
            by_contract("the stock is a bar and every piece is cut off"), severity=Severity.REMARK,
        )  # fmt: skip


def _factor(view: BookView) -> float:
    """Return drawing units for one unit of the stock."""
    drawing, stock = view.field_value("job_units"), view.field_value("stock_units_used")
    return 1.0 if drawing == stock else 25.4 if drawing == "mm" else 1 / 25.4
