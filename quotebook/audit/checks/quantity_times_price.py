"""Unit price times quantity is not the price of the lot.

What it finds
    Lots where the rounded product of unit price and quantity is not the price shown, and lines of the quotation
    whose figures are not those of the Price sheet.

Why it costs money
    The customer multiplies. A quotation that does not multiply out is paid at the lower figure.

Faulty
    25 x 12.00 = 290.00

Sound
    25 x 12.00 = 300.00

How to mend
    Look for the changed formula; this audit names it if it is one of the workbook's own.

False alarms
    None known: what an order minimum adds stands on a line of its own.

Source
    Catalogue row V7.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "quantity-times-price",
    Severity.DO_NOT_QUOTE,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.REASONING,
    ("V7",),
)
#: Lines of the quotation and the figures of the Price sheet that they repeat.
_PRINTED = (
    ("quote_unit_price", "unit_price"), ("quote_extended", "extended_price"),
    ("quote_first_total", "first_order_total"), ("quote_nonrecurring", "nonrecurring_due"),
    ("quote_repeat_unit", "repeat_unit_price"),
)  # fmt: skip
#: Half a unit of the fourth decimal: money has at most four.
TOLERANCE = 0.00005
#: What sixteen digits leave of a large figure: a product half-way between two roundings may then go either way.
NOISE = 1e-13


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per lot or printed figure."""
    decimals = view.field_number("money_decimals")
    for lot in view.lots:
        unit, size = view.field_number("unit_price", lot), view.field_number("lot_size", lot)
        goods, cell = view.field_number("goods_price", lot), view.field_cell("goods_price", lot)
        if unit is None or size is None or goods is None or cell is None:
            continue
        half = 0.5000001 * 10 ** -(2.0 if decimals is None else decimals)
        if abs(unit * size - goods) > half + NOISE * abs(goods):
            yield tell(
                view, CHECK, cell, shown(goods), shown(unit * size), "Find the changed formula.",
                by_value(f"{shown(unit)} x {shown(size)}"), explained_by=view.links.ancestors([cell]),
            )  # fmt: skip
        for printed, name in _PRINTED:
            yield from _printed(view, printed, name, lot)


def _printed(view: BookView, printed: str, name: str, lot: int) -> Iterator[Finding]:
    cell = view.field_cell(printed, lot - 1)
    on_page, worked_out = view.field_number(printed, lot - 1), view.field_number(name, lot)
    if (
        cell is None
        or on_page is None
        or worked_out is None
        or (abs(on_page - worked_out) <= TOLERANCE + NOISE * abs(worked_out))
    ):
        return
    yield tell(
        view, CHECK, cell, shown(on_page), shown(worked_out), "Let the quotation repeat the Price sheet.",
        by_contract(f"{printed} repeats {name}"), effect=worked_out - on_page,
        explained_by=view.links.ancestors([cell]),
    )  # fmt: skip
