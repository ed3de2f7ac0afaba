"""Stock: section, weight and length of a bar or blank, pieces per bar, and what a lot needs of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quotebook.machining.stock import pieces_per_plate
from quotebook.model import Job, Shop, Stock, name_key
from quotebook.pricing.money import ceil_guarded, floor_guarded
from quotebook.pricing.terms import Terms

BAR_FORMS = ("round bar", "hex bar", "square bar", "flat bar", "tube")
#: Forms whose section is width times thickness.
RECTANGLES = ("flat bar", "plate", "block")
NOT_BOUGHT = ("customer supplied", "no stock")

#: g/cm3 in one lb/in3: 453.59237 g / 16.387064 cm3. Source: definitions of the pound and the inch.
G_PER_CM3_IN_LB_PER_IN3 = 27.679904710203
INCHES_PER_FOOT = 12.0
MM_PER_M = 1000.0


@dataclass(frozen=True)
class StockPlan:
    """The stock of one job, whatever the lot.

    ``per_price`` is how much of the price's unit (piece, lb, kg, ft, m) one bar or blank holds;
    ``pitch_share`` the part of a bar that one piece uses, when used length is charged.
    """

    bought: bool
    pieces_per_unit: int | None
    pitch_share: float | None
    per_price: float | None

    def whole_units(self, pieces_started: int) -> int | None:
        """Return the whole bars or blanks that the pieces need."""
        return None if self.pieces_per_unit is None else ceil_guarded(pieces_started / self.pieces_per_unit)

    def units_charged(self, pieces_started: int) -> float | None:
        """Return the bars or blanks that are paid for; a fraction when used length is charged."""
        if self.pieces_per_unit is None:
            return None
        if self.pitch_share is not None:
            return pieces_started * self.pitch_share
        return self.whole_units(pieces_started)

    def units_for_one_more(self) -> float | None:
        """Return the part of a bar or blank that one more piece takes."""
        if self.pitch_share is not None or self.pieces_per_unit is None:
            return self.pitch_share
        return 1 / self.pieces_per_unit


def section_area(stock: Stock) -> float | None:
    """Return the area of the section in square stock units; None when a size is not given.

    Source: geometry; the hexagon by its width across flats, the tube by outside diameter and wall.
    """
    a, b, wall = stock.size_a, stock.size_b, stock.wall
    if is_nested(stock):
        return None if b is None or stock.sheet_width is None else stock.sheet_width * b
    if a is None:
        return None
    if stock.form == "round bar":
        return math.pi / 4 * a**2
    if stock.form == "hex bar":
        return math.sqrt(3) / 2 * a**2
    if stock.form == "square bar":
        return a**2
    if stock.form == "tube":
        return None if wall is None else math.pi * wall * (a - wall)
    if stock.form in RECTANGLES:
        return None if b is None else a * b
    return None


def is_nested(stock: Stock) -> bool:
    """Tell whether blanks are nested on a plate that is bought whole."""
    return stock.form == "plate" and stock.sheet_length is not None and stock.sheet_width is not None


def nested_pieces(stock: Stock, missing: list[str]) -> int | None:
    """Return how many blanks a plate yields in a simple grid, the better of both turns."""
    assert stock.sheet_length is not None
    assert stock.sheet_width is not None
    if stock.piece_length is None or stock.size_a is None:
        missing.append("A nest on a plate needs the blank's length and width, or the pieces per plate.")
        return None
    pieces = pieces_per_plate(
        stock.sheet_length, stock.sheet_width, stock.piece_length, stock.size_a, stock.kerf or 0.0, stock.sheet_edge
    )
    if pieces < 1:
        missing.append("No blank fits on the plate.")
        return None
    return pieces


def unit_length(stock: Stock) -> float | None:
    """Return the length of one bar, or of one plate or block blank, in stock units."""
    if stock.form in BAR_FORMS:
        return stock.bar_length
    if is_nested(stock):
        return stock.sheet_length
    return stock.piece_length if stock.form in ("plate", "block") else None


def unit_weight(job: Job, shop: Shop) -> float | None:
    """Return the weight of one bar or blank: lb for inch stock, kg for metric; None when unknown."""
    stock = job.stock
    if stock.unit_weight is not None:
        return stock.unit_weight
    area, length, density = section_area(stock), unit_length(stock), density_of(stock, shop)
    if area is None or length is None or density is None:
        return None
    volume = area * length
    if stock_units(job) == "in":
        return volume * density / G_PER_CM3_IN_LB_PER_IN3
    return volume / 1000 * density / 1000


def density_of(stock: Stock, shop: Shop) -> float | None:
    """Return the density in g/cm3: the job's own, else that of the shop's material of this name."""
    if stock.density is not None:
        return stock.density
    key = name_key(stock.material)
    return next((row.density for row in shop.materials if name_key(row.name) == key), None)


def stock_units(job: Job) -> str:
    """Return "in" or "mm": the stock's own units, else the drawing's."""
    return job.stock.units or job.job.units


def pieces_per_bar(stock: Stock, missing: list[str]) -> int | None:
    """Return how many pieces a bar yields: usable length over piece, facing and kerf."""
    if stock.piece_length is None or stock.bar_length is None:
        missing.append("The stock needs a piece length and a bar length, or the pieces per bar.")
        return None
    pitch, grip = bar_pitch(stock, stock.piece_length), stock.grip or 0.0
    pieces = floor_guarded((stock.bar_length - grip) / pitch)
    if pieces < 1:
        missing.append(
            f"No piece fits on a bar: {stock.bar_length:g} long, {grip:g} of it grip, {pitch:g} for each piece."
        )
        return None
    return pieces


def bar_pitch(stock: Stock, piece_length: float) -> float:
    """Return how much of a bar one piece uses: itself, facing and kerf."""
    return piece_length + (stock.facing or 0.0) + (stock.kerf or 0.0)


def plan_stock(job: Job, shop: Shop, terms: Terms, missing: list[str]) -> StockPlan:
    """Return the stock as planned; what is missing is added to ``missing``."""
    stock = job.stock
    if stock.form is None:
        missing.append('The form of the stock is not said; choose "no stock" when there is none.')
        return StockPlan(True, None, None, None)
    if stock.form in NOT_BOUGHT:
        return StockPlan(False, None, None, None)
    bar = stock.form in BAR_FORMS
    pieces = stock.pieces_per_unit or _computed_pieces(stock, bar, missing)
    share: float | None = None
    if bar and terms.used_length and pieces is not None:
        share = 1 / pieces
        if stock.pieces_per_unit is None and stock.piece_length is not None and stock.bar_length is not None:
            share = bar_pitch(stock, stock.piece_length) / stock.bar_length
    return StockPlan(True, pieces, share, _per_price(job, shop, missing))


def _computed_pieces(stock: Stock, bar: bool, missing: list[str]) -> int | None:
    if bar:
        return pieces_per_bar(stock, missing)
    return nested_pieces(stock, missing) if is_nested(stock) else 1


def _per_price(job: Job, shop: Shop, missing: list[str]) -> float | None:
    basis = job.stock.price_basis
    if basis is None:
        missing.append("The stock's price is given without saying what it is per; each, or a weight, or a length.")
        return None
    if basis == "each":
        return 1.0
    if basis in ("per lb", "per kg"):
        weight = unit_weight(job, shop)
        if weight is None:
            missing.append(f"The stock is priced {basis}: it needs its sizes and a density, or the weight of one.")
        return weight
    length = unit_length(job.stock)
    if length is None:
        what = "bar length" if job.stock.form in BAR_FORMS else "piece length"
        missing.append(f"The stock is priced {basis}: it needs a {what}.")
        return None
    return length / (INCHES_PER_FOOT if basis == "per ft" else MM_PER_M)
