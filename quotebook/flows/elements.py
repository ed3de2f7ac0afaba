"""Which field of the workbook says the same as which figure of the reference pricing.

This is a list of pairs and holds no arithmetic: the two sides are computed apart and only compared here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from quotebook.values import Value

if TYPE_CHECKING:
    from quotebook.pricing import FitResult, JobPrice, LotPrice

#: Field name, lot (0: first piece alone, 1...: quantity break; None: the field has no lots), row (from 0, or None).
Key = tuple[str, int | None, int | None]

_LOT: dict[str, Callable[[LotPrice], float | None]] = {
    "lot_size": lambda lot: lot.quantity,
    "pieces_started": lambda lot: lot.pieces_started,
    "unit_price": lambda lot: lot.unit_price,
    "goods_price": lambda lot: lot.goods,
    "minimum_supplement": lambda lot: lot.supplement,
    "extended_price": lambda lot: lot.extended_price,
    "nonrecurring_due": lambda lot: lot.charge,
    "first_order_total": lambda lot: lot.first_order_total,
    "repeat_unit_price": lambda lot: lot.repeat.unit_price,
    "repeat_extended": lambda lot: lot.repeat.extended_price,
    "lot_cost": lambda lot: lot.cost,
    "lot_margin": lambda lot: lot.margin,
    "lot_markup": lambda lot: lot.markup,
    "break_even_quantity": lambda lot: lot.break_even_quantity,
    "lot_setup_hours": lambda lot: lot.setup_hours,
    "machine_hours": lambda lot: lot.machine_hours,
    "attended_hours": lambda lot: lot.attended_hours,
    "inspection_hours": lambda lot: lot.inspection_hours,
    "sample_size": lambda lot: lot.sample_size,
    "stock_units_charged": lambda lot: lot.units_bought,
    "lot_price": lambda lot: lot.lot_price,
    "adjusted_price": lambda lot: lot.adjusted,
    "spread_per_piece": lambda lot: lot.spread_per_piece,
    "elements_cost": lambda lot: lot.cost_elements.total(),
}

#: Fields that are totals: where the reference says unknown, a number in the workbook is a disagreement.
TOTALS = frozenset(
    {"unit_price", "goods_price", "extended_price", "first_order_total", "repeat_unit_price", "lot_cost", "lot_price",
     "next_piece_price"}
)  # fmt: skip


def reference_values(
    price: JobPrice, fit: FitResult, break_numbers: tuple[int, ...], operation_rows: tuple[int, ...]
) -> Mapping[Key, Value]:
    """Return what the reference pricing says for each field, lot and row; None is unknown.

    Shape:  ``break_numbers``: for each quantity of the job the break that holds it; ``operation_rows``: for each
            operation its row in the routing, from 0.
    """
    values: dict[Key, Value] = {}
    for lot, number in [(price.first_piece, 0), *zip(price.lots, break_numbers, strict=True)]:
        for name, figure in _LOT.items():
            values[name, number, None] = _float(figure(lot))
        for side, elements in (("sell", lot.sell_elements), ("cost", lot.cost_elements), ("price", lot.price_elements)):
            for element, amount in elements.items():
                name = "packing_amount" if element == "packing" and side != "price" else f"{element}_{side}"
                values[name, number, None] = _float(amount)
        for entering, row in zip(lot.entering, operation_rows, strict=True):
            values["pieces_entering", number, row] = float(entering)
    values["next_piece_price", None, None] = _float(price.next_piece_price)
    values["next_piece_cost", None, None] = _float(price.next_piece_cost)
    values["first_piece_total", None, None] = _float(price.first_piece_total)
    values["nonrecurring_cost", None, None] = _float(price.nonrecurring_cost)
    values["nonrecurring_price", None, None] = _float(price.nonrecurring_price)
    values["nonrecurring_full", None, None] = _float(price.nonrecurring_full)
    values["fit_decision", None, None] = fit.decision
    return values


def _float(value: float | None) -> float | None:
    return None if value is None else float(value)
