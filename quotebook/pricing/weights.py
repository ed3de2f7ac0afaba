"""Weights of a lot's stock: bought, finished, chips and remnants; what there is to cut. Of a job in force."""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.machining.stock import buy_to_fly
from quotebook.machining.units import MM_PER_LENGTH
from quotebook.model import Job, Shop
from quotebook.pricing.result import LotPrice
from quotebook.pricing.stock import BAR_FORMS, stock_units, unit_weight


@dataclass(frozen=True)
class LotWeights:
    """lb for inch stock, kg for metric; None is unknown. ``lost`` is everything bought that is not shipped."""

    bought: float | None
    finished: float | None
    lost: float | None
    buy_to_fly: float | None


def lot_weights(job: Job, shop: Shop, lot: LotPrice) -> LotWeights:
    """Return the weights of one lot of stock that is bought in whole bars or blanks."""
    one = unit_weight(job, shop)
    whole = lot.purchases[0].step_units if lot.purchases else None
    bought = None if one is None or whole is None else whole * one
    finished = None if job.stock.finished_weight is None else lot.quantity * job.stock.finished_weight
    if not bought or finished is None:
        return LotWeights(bought, finished, None, None)
    return LotWeights(bought, finished, bought - finished, buy_to_fly(bought, finished))


def least_allowance(job: Job) -> float | None:
    """Return the least machining allowance where the stock is cut off, in drawing units; None: a size is not known.

    A bar: facing of both ends together. A plate: its two larger sizes against the part's; the faces may stay as rolled.
    A block, sawn on every side: all three. Below 0: smaller than the part. Source: common practice, no source.
    """
    stock, fit = job.stock, job.fit
    factor = MM_PER_LENGTH["in" if stock_units(job) == "in" else "mm"] / MM_PER_LENGTH[job.job.units]
    if stock.form in BAR_FORMS:
        return (stock.facing or 0.0) * factor
    blank = [size for size in (stock.size_a, stock.size_b, stock.piece_length) if size is not None]
    part = [size for size in (fit.length, fit.width, fit.height) if size is not None]
    if stock.form not in ("plate", "block") or len(blank) < 3 or len(part) < 3:
        return None
    spare = [have * factor - need for have, need in zip(sorted(blank), sorted(part), strict=True)]
    return min(spare[1:] if stock.form == "plate" else spare)
