"""What is in force where a job says nothing: the shop's usual setup, load, moves, sizes and price of stock.

The job's own word, 0 included, always goes first; where the shop has no usual figure either, nothing is taken.
"""

from __future__ import annotations

from collections.abc import Sequence

from quotebook.machining.stock import next_size_up
from quotebook.machining.units import KG_PER_POUND, MM_PER_LENGTH
from quotebook.model import STOCK_LINE, Cutting, Job, Operation, Shop, Stock, WorkCenter, name_key
from quotebook.model.shop import WeightBasis
from quotebook.pricing.feature_sizes import around, sized_line
from quotebook.pricing.part_in_stock import ALIKE_FORMS, SAWN_FORMS, part_in_stock
from quotebook.pricing.stock import BAR_FORMS, NOT_BOUGHT, RECTANGLES, stock_units


def job_in_force(job: Job, shop: Shop) -> Job:
    """Return the job with the shop's usual figures where it says nothing; idempotent."""
    return _with_usual_price(sized_job(job, shop), shop)


def sized_job(job: Job, shop: Shop) -> Job:
    """Return the job with all usual figures but the price of the stock."""
    centers = {row.number: center_of(row, shop) for row in job.operations}
    job = job.model_copy(update={"stock": _stock(job, shop)})
    sizes = around(job, shop)
    cutting = tuple(sized_line(_line(row, centers.get(row.operation), job, shop), sizes) for row in job.cutting)
    no_cycle = {row.operation for row in job.buyouts if row.kind == "outside processing"}
    no_cycle |= {line.operation for line in cutting}
    operations = tuple(_operation(row, cutting, shop, row.number not in no_cycle) for row in job.operations)
    return job.model_copy(update={"operations": operations, "cutting": cutting})


def center_of(operation: Operation, shop: Shop) -> WorkCenter | None:
    """Return the work center that an operation names."""
    key = name_key(operation.work_center or "")
    return next((row for row in shop.work_centers if name_key(row.name) == key), None)


def _operation(row: Operation, cutting: Sequence[Cutting], shop: Shop, uncut: bool) -> Operation:
    center = None if row.hand_rate is not None else center_of(row, shop)
    setup = None if center is None else center.usual_setup_hours
    load = None if center is None else center.usual_load_minutes
    holding = None if center is None else center.usual_holding
    first_piece = None if center is None else center.usual_first_piece_minutes
    tools = None
    if center is not None and shop.usual.tool_changes is not None:
        tools = sum(line.tool_changes or 0 for line in cutting if line.operation == row.number)
    return row.model_copy(
        update={
            "touch_offs": row.touch_offs if row.touch_offs is not None else tools or 0,
            "setup_base_hours": _first(row.setup_base_hours, setup, 0.0),
            "load_minutes": _first(row.load_minutes, load, 0.0),
            "work_holding": row.work_holding or holding,
            "cycle_minutes": row.cycle_minutes if row.cycle_minutes is not None or not uncut else _cycle(row, shop),
            "first_piece_minutes": _first(row.first_piece_minutes, first_piece, 0.0),
        }
    )


def _cycle(row: Operation, shop: Shop) -> float | None:
    """Return the usual minutes of a piece at the operation's hand rate, else at its work center."""
    if row.hand_rate is None:
        center = center_of(row, shop)
        return None if center is None else center.usual_cycle_minutes
    key = name_key(row.hand_rate)
    return next((hand.usual_cycle_minutes for hand in shop.hand_rates if name_key(hand.name) == key), None)


def _line(line: Cutting, center: WorkCenter | None, job: Job, shop: Shop) -> Cutting:
    rapid = usual_length(shop.usual.rapid_length, shop, job.job.units)
    if center is None or center.rapid_rate is None:
        rapid = None
    changes = line.tool_changes if line.tool_changes is not None else shop.usual.tool_changes or 0
    return line.model_copy(
        update={
            "tool_changes": changes,
            "rapid_length": _first(line.rapid_length, rapid, 0.0),
            "other_seconds": _first(line.other_seconds, None if line.kind is None else shop.usual.other_seconds, 0.0),
        }
    )


def _first(*figures: float | None) -> float | None:
    return next((figure for figure in figures if figure is not None), None)


def usual_length(length: float | None, shop: Shop, units: str) -> float | None:
    """Return a usual length of the shop in other units."""
    return None if length is None else length * MM_PER_LENGTH[shop.usual.units] / MM_PER_LENGTH[units]


# -- stock ----------------------------------------------------------------------------------


def _stock(job: Job, shop: Shop) -> Stock:
    stock, usual, units = job.stock, shop.usual, stock_units(job)
    changes: dict[str, float | None] = {
        name: _first(getattr(stock, name), usual_length(getattr(usual, name), shop, units), 0.0)
        for name in ("facing", "kerf", "grip", "clean_up")
    }
    if stock.form in BAR_FORMS:
        changes["bar_length"] = _first(stock.bar_length, usual_length(usual.bar_length, shop, units))
    if usual.clean_up is not None:
        changes |= _sizes_from_part(job, shop, changes["clean_up"] or 0.0)
    return stock.model_copy(update=changes)


def _sizes_from_part(job: Job, shop: Shop, clean_up: float) -> dict[str, float | None]:
    """Return the sizes that the part and the shop's standard sizes leave no doubt about, in stock units."""
    stock, part = job.stock, part_in_stock(job, shop)
    found: dict[str, float | None] = {}
    standard = suggested_size(job, shop)
    section = "size_b" if stock.form in RECTANGLES else "size_a"
    found[section] = _first(getattr(stock, section), standard)
    if part is None:
        return found
    if stock.form in ALIKE_FORMS:
        found["piece_length"] = _first(stock.piece_length, part.length)
    elif stock.form in SAWN_FORMS:
        found["piece_length"] = _first(stock.piece_length, part.length + clean_up)
        found["size_a"] = _first(stock.size_a, part.width + clean_up)
    else:
        found["piece_length"] = _first(stock.piece_length, part.length)
        found["size_a"] = _first(stock.size_a, part.width + clean_up)
    return found


def section_needed(job: Job, shop: Shop) -> float | None:
    """Return the finished diameter, side or thickness in stock units: as typed, else the part's; None: not known."""
    if job.stock.finished_size is not None:
        return job.stock.finished_size
    part = part_in_stock(job, shop)
    return None if part is None or shop.usual.clean_up is None else part.section


def suggested_size(job: Job, shop: Shop) -> float | None:
    """Return the next standard size of the stock's form, in stock units; None: not asked, or the table has none."""
    needed, stock = section_needed(job, shop), job.stock
    if needed is None or stock.form is None:
        return None
    units = stock_units(job)
    clean_up = _first(stock.clean_up, usual_length(shop.usual.clean_up, shop, units), 0.0) or 0.0
    sizes = [(row.size, row.units) for row in shop.standard_sizes if row.form == stock.form]
    found = next_size_up(needed + clean_up, "in" if units == "in" else "mm", sizes)
    return None if found is None else found / MM_PER_LENGTH[units]


# -- price of the stock ---------------------------------------------------------------------


def usual_stock_price(job: Job, shop: Shop) -> tuple[float, WeightBasis] | None:
    """Return the shop's usual price of the stock, per lb for inch stock and per kg for metric, where it is in force.

    None: a price is typed or chosen, the form is not sold by weight (casting), or the shop has none for the material.
    """
    stock = job.stock
    if stock.form is None or stock.form == "casting" or stock.form in NOT_BOUGHT or stock.price is not None:
        return None
    if any(row.chosen and name_key(row.line) == name_key(STOCK_LINE) for row in job.supplier_prices):
        return None
    key = name_key(stock.material)
    material = next((row for row in shop.materials if name_key(row.name) == key), None)
    if material is None or material.usual_price is None:
        return None
    if stock_units(job) == "in":
        return material.usual_price * (KG_PER_POUND if material.usual_price_basis == "per kg" else 1.0), "per lb"
    return material.usual_price / (KG_PER_POUND if material.usual_price_basis == "per lb" else 1.0), "per kg"


def _with_usual_price(job: Job, shop: Shop) -> Job:
    usual = usual_stock_price(job, shop)
    if usual is None:
        return job
    stock = job.stock.model_copy(update={"price": usual[0], "price_basis": usual[1]})
    return job.model_copy(update={"stock": stock})
