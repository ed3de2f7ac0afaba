"""What a job needs from suppliers: each line in the supplier's words, and the quantities that its lots come to.

Only what a supplier must know is taken from the job, field by field; nothing else can get into a request.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from quotebook.model import STOCK_LINE, Buyout, Job, Shop, Stock, name_key
from quotebook.pricing import price_job
from quotebook.pricing.usual import sized_job

_NOT_BOUGHT = (None, "customer supplied", "no stock")
_BARS = ("round bar", "hex bar", "square bar", "flat bar", "tube")
_SIZE_A = {"round bar": "diameter", "hex bar": "across flats", "square bar": "side", "tube": "outside diameter"}


@dataclass(frozen=True, slots=True)
class WantedLine:
    """One line to ask for. ``quantities`` count units (bars, blanks, pieces, packs), smallest first."""

    line: str
    kind: str
    what: str
    certificate: str
    unit: str
    basis: str
    quantities: tuple[int, ...]
    pack_size: float | None = None


def wanted_lines(job: Job, shop: Shop) -> tuple[tuple[WantedLine, ...], tuple[str, ...]]:
    """Return the lines that a job buys, and sentences about lines whose quantities cannot be worked out yet."""
    price, job = price_job(job, shop), sized_job(job, shop)
    asked: dict[str, set[int]] = {}
    for lot in (price.first_piece, *price.lots):
        for row in lot.purchases:
            if row.step_units is not None:
                asked.setdefault(name_key(row.line), set()).add(row.step_units)
    lines: list[WantedLine] = []
    notes: list[str] = []
    for name, make in _lines(job):
        quantities = tuple(sorted(n for n in asked.get(name_key(name), ()) if n > 0))
        if quantities:
            lines.append(make(quantities))
        else:
            notes.append(f"{name}: how much is needed cannot be worked out while sizes or quantities are missing")
    return tuple(lines), tuple(notes)


def _lines(job: Job) -> Iterator[tuple[str, Make]]:
    if job.stock.form not in _NOT_BOUGHT:
        yield STOCK_LINE, Make(job, None)
    for row in job.buyouts:
        yield row.name, Make(job, row)


@dataclass(frozen=True, slots=True)
class Make:
    """Makes a line once its quantities are known."""

    job: Job
    buyout: Buyout | None

    def __call__(self, quantities: tuple[int, ...]) -> WantedLine:
        """Return the line for these quantities."""
        row = self.buyout
        if row is None:
            stock = self.job.stock
            bar = stock.form in _BARS
            return WantedLine(
                STOCK_LINE, "stock", stock_words(stock, self.job.job.units), stock.certificate,
                "bars" if bar else "blanks", stock.price_basis or "each", quantities,
            )  # fmt: skip
        if row.kind == "hardware":
            pack = f"{row.pack_size:g}"
            basis = "each" if row.pack_size == 1 else f"per pack of {pack}"
            unit = "pieces" if row.pack_size == 1 else f"packs of {pack}"
            what = _joined(row.specification or row.name, row.masking)
            return WantedLine(row.name, row.kind, what, row.certificate, unit, basis, quantities, row.pack_size)
        what = _joined(row.specification or row.name, row.size_to_quote, row.masking)
        return WantedLine(row.name, row.kind, what, row.certificate, "pieces", "each", quantities)


def stock_words(stock: Stock, drawing_units: str) -> str:
    """Return the stock as a supplier reads it: form, size, material, specification, length."""
    units = stock.units or drawing_units
    sizes = ""
    if stock.size_a is not None:
        if stock.form in _SIZE_A:
            sizes = f"{_SIZE_A[stock.form]} {stock.size_a:g} {units}"
        else:
            numbers = [stock.size_a, stock.size_b, None if stock.form in _BARS else stock.piece_length]
            sizes = " x ".join(f"{n:g}" for n in numbers if n is not None) + f" {units}"
    wall = f"wall {stock.wall:g} {units}" if stock.form == "tube" and stock.wall is not None else ""
    length = f"bars of {stock.bar_length:g} {units}" if stock.form in _BARS and stock.bar_length is not None else ""
    return _joined(str(stock.form), sizes, wall, stock.material, stock.specification, length)


def _joined(*parts: str) -> str:
    return ", ".join(part.strip() for part in parts if part.strip())
