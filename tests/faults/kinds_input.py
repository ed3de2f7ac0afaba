"""Faults of typed numbers: a slip of the finger, a text, a percent, a unit, and keys of a look-up."""

from __future__ import annotations

import re
from random import Random

from quotebook.values import Address
from quotebook.workbook.changes import NewInput
from tests.faults.fault import Fault, formula_fault, input_fault, is_free, shuffled
from tests.faults.ground import Ground
from tests.faults.pieces import arguments, joined, pieces_of, ref_of

#: Pairs of units that people take for each other, and what a number in the first is in the second.
_UNITS = (
    (r"\bmin(utes?)?\b", 1 / 60, "minutes typed as hours"),
    (r"\b(hours?|hrs?|h)\b", 60.0, "hours typed as minutes"),
    (r"\bmm\b", 1 / 25.4, "millimetres typed as inches"),
    (r"\b(inch(es)?|in)\b(?! the)", 25.4, "inches typed as millimetres"),
    (r"\b(lb|lbs|pounds?)\b", 0.45359237, "pounds typed as kilograms"),
    (r"\bkg\b", 2.2046226, "kilograms typed as pounds"),
)
_SHARES = re.compile(r"%|margin|markup|profit|scrap|overhead|discount|contingency|extra|burden|overrun|administration")


def fat_finger(ground: Ground, draw: Random) -> Fault | None:
    """A typed number ten times too large or small, with two digits swapped, or with one digit wrong."""
    for cell in shuffled(draw, _numbers(ground)):
        value = ground.number(cell) or 0.0
        way = draw.choice(("times ten", "a tenth", "digits swapped", "one digit"))
        new = _mistyped(value, way, draw)
        if new is not None and new != value:
            return input_fault(ground, cell, new, way, form=way)
    return None


def number_as_text(ground: Ground, draw: Random) -> Fault | None:
    """A typed number stored as text, sometimes with a decimal comma."""
    cell = draw.choice(_numbers(ground))
    text = f"{ground.number(cell):.15g}"
    if "." in text and draw.random() < 0.5:
        return input_fault(ground, cell, text.replace(".", ","), "text with a decimal comma", form="comma")
    return input_fault(ground, cell, text, "number as text", form="text")


def percent_slip(ground: Ground, draw: Random) -> Fault | None:
    """15 % typed as 15 or as 0.0015; 15 in a cell of whole percents typed as 0.15."""
    cells = [cell for cell in _numbers(ground) if _is_share(ground, cell)]
    if not cells:
        return None
    cell = draw.choice(cells)
    value = ground.number(cell) or 0.0
    factor = draw.choice((100, 100, 0.01)) if value < 1 else draw.choice((0.01, 0.01, 100))
    return input_fault(ground, cell, float(f"{value * factor:.10g}"), f"percent times {factor}")


def unit_slip(ground: Ground, draw: Random) -> Fault | None:
    """A number typed in another unit than the cell's."""
    for cell in shuffled(draw, _numbers(ground)):
        if ground.fields:
            unit = ground.fields[cell][1] if cell in ground.fields else ""
            label = {"minutes": "min", "h per lot": "hours", "h": "hours"}.get(unit, unit.casefold())
            if label.startswith("="):
                label = str(ground.values.get(cell._replace(column=cell.column + 1), ""))
            if "or mm" in label or "per hour" in label:
                continue
        else:
            label = ground.label(cell)
            if re.search(r"(/|per|each|\$)\s*(hr?|hour|lb|kg|min)\b|/(hr?|hour|lb|kg)|rate|%", label):
                continue
        for pattern, factor, note in _UNITS:
            if re.search(pattern, label):
                return input_fault(ground, cell, float(f"{(ground.number(cell) or 0) * factor:.6g}"), note, form=note)
    return None


def loose_lookup(ground: Ground, draw: Random) -> Fault | None:
    """The exact flag of a look-up dropped, the keys of a step table shuffled, or a key typed twice."""
    ways = [_flag_dropped, _keys_spoilt]
    draw.shuffle(ways)
    for way in ways:
        found = way(ground, draw)
        if found is not None:
            return found
    return None


def _flag_dropped(ground: Ground, draw: Random) -> Fault | None:
    cells = [cell for cell in ground.book.formulas if cell in ground.chain and is_free(ground, cell)]
    for cell in shuffled(draw, cells):
        pieces = pieces_of(ground.book.formulas[cell])
        for index, piece in enumerate(pieces):
            wanted = {"MATCH(": 3, "VLOOKUP(": 4, "HLOOKUP(": 4}.get(piece.bare.upper())
            found = arguments(pieces, index) if wanted else []
            if len(found) != wanted or joined(pieces[found[-1][0] : found[-1][1]]) not in ("0", "FALSE"):
                continue
            begin, end = found[-1]
            text = joined([*pieces[: begin - 1], *pieces[end:]])
            return formula_fault(ground, cell, text, "exact flag dropped", form="flag dropped")
    return None


def _keys_spoilt(ground: Ground, draw: Random) -> Fault | None:
    """Copy a key over another one, or swap two keys of a table searched by steps."""
    cells = [cell for cell in ground.book.formulas if cell in ground.chain]
    for cell in shuffled(draw, cells):
        pieces = pieces_of(ground.book.formulas[cell])
        for index, piece in enumerate(pieces):
            name = piece.bare.upper()
            if name not in ("MATCH(", "VLOOKUP("):
                continue
            found = arguments(pieces, index)
            keys = _key_cells(ground, cell, pieces[found[1][0]]) if len(found) >= 2 else []
            if len(keys) < 3:
                continue
            exact = joined(pieces[found[-1][0] : found[-1][1]]) in ("0", "FALSE")
            one, other = draw.sample(keys, 2)
            values = ground.values
            if exact:
                changes = {other: NewInput(values[one])}
                note = "key twice"
            else:
                changes = {one: NewInput(values[other]), other: NewInput(values[one])}
                note = "keys shuffled"
            readers = tuple(r for r in ground.dependants(one) if r in ground.chain)
            return Fault(
                tuple(changes), changes, repr(values[other]), repr(values[one]), note, also=(one, *readers), form=note
            )
    return None


def _key_cells(ground: Ground, cell: Address, piece: object) -> list[Address]:
    kind, bare = getattr(piece, "kind", ""), getattr(piece, "bare", "")
    if kind == "ref":
        ref = ref_of(piece)  # type: ignore[arg-type]
        area = (ref.title(cell.sheet), ref.row, ref.column, (ref.last_row or ref.row) - ref.row + 1)
    elif kind == "name" and bare.casefold() in ground.name_areas:
        area = ground.name_areas[bare.casefold()][:4]
    else:
        return []
    title, row, column, rows = area
    cells = [Address(title, each, column) for each in range(row, row + rows)]
    return [each for each in cells if each in ground.book.inputs]


def _numbers(ground: Ground) -> list[Address]:
    if not ground.fields:
        return list(ground.number_inputs)
    kept = ("date", "days", "choice", "yesno", "text")
    return [
        cell
        for cell in ground.number_inputs
        if cell in ground.fields and ground.fields[cell][2] not in kept and ground.fields[cell][0] not in _KEYS
    ]


#: Numbers that name things and measure nothing.
_KEYS = ("operation_number", "cutting_operation", "buyout_operation", "money_decimals")


def _is_share(ground: Ground, cell: Address) -> bool:
    if ground.fields:
        return cell in ground.fields and ground.fields[cell][2] == "share"
    value = ground.number(cell) or 0.0
    if "%" in ground.format(cell):
        return True
    return (
        0 < abs(value) < 100 and bool(_SHARES.search(ground.label(cell))) and (value < 1 or "%" in ground.label(cell))
    )


def _mistyped(value: float, way: str, draw: Random) -> float | None:
    if way == "times ten":
        return value * 10
    if way == "a tenth":
        return float(f"{value / 10:.12g}")
    text = f"{value:.12g}"
    digits = [index for index, each in enumerate(text) if each.isdigit()]
    if way == "digits swapped":
        pairs = [i for i in digits if i + 1 in digits and text[i] != text[i + 1]]
        if not pairs:
            return None
        i = draw.choice(pairs)
        return float(text[:i] + text[i + 1] + text[i] + text[i + 2 :])
    i = draw.choice(digits)
    return float(text[:i] + draw.choice([d for d in "123456789" if d != text[i]]) + text[i + 1 :])
