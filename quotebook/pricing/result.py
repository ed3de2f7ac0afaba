"""What pricing gives: frozen records in which None means unknown, never zero.

Hours are hours, amounts are in the shop's currency, shares are 0 to 1. "Sell" is at sell rates with
marked-up purchases, "cost" at burdened cost rates with purchases as paid, "price" is what the terms
make of the two.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from quotebook.pricing.money import total

#: The elements of a lot, in the order in which they are always shown.
ELEMENTS = ("setup", "machine", "labor", "stock", "outside", "hardware", "inspection", "packing", "extras")

UNIT_PRICE_RISES = "unit price rises"
EXTENDED_PRICE_FALLS = "extended price falls"
MARGIN_UNDER_FLOOR = "margin under floor"


@dataclass(frozen=True)
class Elements:
    """The amount of each element of a lot; an unknown element is None."""

    setup: float | None
    machine: float | None
    labor: float | None
    stock: float | None
    outside: float | None
    hardware: float | None
    inspection: float | None
    packing: float | None
    extras: float | None

    def items(self) -> Iterator[tuple[str, float | None]]:
        """Yield name and amount of each element, in the fixed order."""
        for name in ELEMENTS:
            yield name, getattr(self, name)

    def total(self) -> float | None:
        """Return the sum, or None when any element is unknown."""
        return total(amount for _, amount in self.items())


@dataclass(frozen=True)
class Rates:
    """Money per hour of an operation, at cost and to sell: the machine's part and the person's part."""

    machine_sell: float
    machine_cost: float
    labor_sell: float
    labor_cost: float


@dataclass(frozen=True)
class OperationFigures:
    """One operation of one lot: pieces entering, hours, and the amounts they come to."""

    number: int
    entering: int
    setup_hours: float
    cycle_minutes: float | None
    machine_hours: float | None
    attended_hours: float | None
    rates: Rates | None
    setup_sell: float | None
    setup_cost: float | None
    machine_sell: float | None
    machine_cost: float | None
    labor_sell: float | None
    labor_cost: float | None


@dataclass(frozen=True)
class PurchaseFigures:
    """One purchase of one lot: ``units`` (bars, blanks, pieces sent, packs) at ``unit_price`` each.

    ``step_units`` is the whole number that decides which supplier price holds. ``purchase`` is paid
    to the supplier, ``sell`` is with markup and rounded up to the policy's step.
    """

    line: str
    kind: str
    units: float | None
    step_units: int | None
    unit_price: float | None
    minimum: float | None
    markup_share: float
    purchase: float | None
    sell: float | None


@dataclass(frozen=True)
class Repeat:
    """The same lot ordered again: no nonrecurring in it."""

    unit_price: float | None
    goods: float | None
    supplement: float | None
    extended_price: float | None


@dataclass(frozen=True)
class LotPrice:
    """One lot. Whatever depends on something missing is None; ``missing`` says what this lot alone lacks.

    ``charge`` is the nonrecurring charge of the first order (0 when it is spread over the pieces),
    ``supplement`` what lifts the goods to the order minimum, ``cost`` the whole lot's cost.
    ``break_even_quantity`` is None when unknown, or when no quantity breaks even
    (``never_breaks_even``).
    """

    quantity: int
    entering: tuple[int, ...]
    pieces_started: int | None
    operations: tuple[OperationFigures, ...]
    purchases: tuple[PurchaseFigures, ...]
    setup_hours: float
    machine_hours: float | None
    attended_hours: float | None
    inspection_hours: float | None
    sample_size: int | None
    units_bought: float | None
    sell_elements: Elements
    cost_elements: Elements
    price_elements: Elements
    lot_price: float | None
    adjusted: float | None
    spread_per_piece: float | None
    unit_price: float | None
    goods: float | None
    supplement: float | None
    extended_price: float | None
    charge: float | None
    first_order_total: float | None
    repeat: Repeat
    cost: float | None
    margin: float | None
    markup: float | None
    break_even_quantity: int | None
    never_breaks_even: bool
    warnings: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True)
class NonrecurringFigures:
    """One nonrecurring line: what it costs and what it is charged at, before rounding."""

    description: str
    hours: float
    cost: float | None
    price: float | None


@dataclass(frozen=True)
class NextPiece:
    """One more piece while the job is still set up: no lot charges, minimums, packs or steps."""

    sell: float | None
    cost: float | None
    price: float | None


@dataclass(frozen=True)
class JobPrice:
    """The price of a job at each of its quantities.

    ``missing`` lists what the whole job lacks, in full sentences; as long as it is not empty no lot
    has a price. ``nonrecurring_full`` is the charge rounded to the currency's decimals.
    """

    lots: tuple[LotPrice, ...]
    first_piece: LotPrice
    first_piece_total: float | None
    next_piece: NextPiece
    nonrecurring: tuple[NonrecurringFigures, ...]
    nonrecurring_cost: float | None
    nonrecurring_price: float | None
    nonrecurring_full: float | None
    missing: tuple[str, ...]

    @property
    def next_piece_price(self) -> float | None:
        """Price of the next piece."""
        return self.next_piece.price

    @property
    def next_piece_cost(self) -> float | None:
        """Cost of the next piece."""
        return self.next_piece.cost

    @property
    def all_missing(self) -> tuple[str, ...]:
        """Everything missing, the job's own and that of each lot, each said once."""
        return tuple(dict.fromkeys([*self.missing, *(reason for lot in self.lots for reason in lot.missing)]))

    def lot(self, quantity: int) -> LotPrice:
        """Return the lot of one of the job's quantities. Errors: KeyError for any other quantity."""
        for lot in self.lots:
            if lot.quantity == quantity:
                return lot
        raise KeyError(quantity)
