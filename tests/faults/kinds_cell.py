"""Faults of a whole cell: a figure over a formula, a formula wiped, an error hushed."""

from __future__ import annotations

from random import Random

from quotebook.values import Address
from quotebook.workbook.changes import NewInput
from tests.faults.fault import Fault, formula_fault, is_free, shuffled
from tests.faults.ground import Ground
from tests.faults.pieces import Piece, exchanged, pieces_of, refs


def frozen_figure(ground: Ground, draw: Random) -> Fault | None:
    """A formula replaced by its own present value."""
    cell = _live(ground, draw)
    return None if cell is None else _over(ground, cell, ground.number(cell), "its own value")


def wrong_frozen_figure(ground: Ground, draw: Random) -> Fault | None:
    """A formula replaced by a value that is 3 to 50 % off."""
    cell = _live(ground, draw)
    if cell is None:
        return None
    value = ground.number(cell) or 0.0
    off = value * (1 + draw.choice((-1, 1)) * draw.uniform(0.03, 0.5))
    if value == round(value) and abs(value) >= 4:
        off = float(round(off))
    return _over(ground, cell, float(f"{off:.4g}"), "another value")


def wiped_cell(ground: Ground, draw: Random) -> Fault | None:
    """A formula deleted."""
    cell = _live(ground, draw)
    return None if cell is None else _over(ground, cell, None, "nothing")


def hushed_error(ground: Ground, draw: Random) -> Fault | None:
    """A formula broken, and its error hidden behind IFERROR(..., 0)."""
    for cell in shuffled(draw, ground.live):
        pieces = pieces_of(ground.book.formulas[cell])
        places = [index for index, _ in refs(pieces)] + [i for i, p in enumerate(pieces) if _is_name(ground, p)]
        if not places or not is_free(ground, cell):
            continue
        place = draw.choice(places)
        text_cell = _heading(ground, cell)
        if text_cell is not None and draw.random() < 0.4:
            broken, how = exchanged(pieces, place, f"({text_cell}*1)"), "points to a text"
        else:
            broken, how = exchanged(pieces, place, "#REF!"), "points to a deleted cell"
        return formula_fault(ground, cell, f"IFERROR({broken},0)", f"{how}, and the error is hushed", form=how)
    return None


def _is_name(ground: Ground, piece: Piece) -> bool:
    return piece.kind == "name" and piece.bare.casefold() in ground.name_areas


def _heading(ground: Ground, cell: Address) -> str | None:
    """Return the nearest text above a cell, as a reference."""
    from quotebook.workbook.areas import cell_name

    for row in range(cell.row - 1, max(0, cell.row - 12), -1):
        value = ground.values.get(Address(cell.sheet, row, cell.column))
        if isinstance(value, str) and value.strip() and not value.strip()[0].isdigit():
            return cell_name(row, cell.column)
    return None


def _live(ground: Ground, draw: Random) -> Address | None:
    free = [cell for cell in ground.live if is_free(ground, cell) and cell not in ground.prices]
    return draw.choice(free) if free else None


def _over(ground: Ground, cell: Address, value: float | None, note: str) -> Fault:
    old = f"={ground.book.formulas[cell]}"
    new = "" if value is None else repr(value)
    return Fault((cell,), {cell: NewInput(value, over_formula=True)}, old, new, f"formula replaced by {note}")
