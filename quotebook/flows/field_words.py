"""Which cell a person means: ``cycle_minutes[2]``, ``unit_price[3]``, ``part_number`` or ``Routing!H12``.

A number in brackets is the row of a table counted from 1, or the lot of a series: 0 is the first piece alone, 1 the
first quantity. ``quantity`` is short for the first quantity break.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import NoReturn

from quotebook.errors import InputError
from quotebook.flows.opening import Opened
from quotebook.template.plan import Placed
from quotebook.values import Address, Value, column_number

_FIELD = re.compile(r"([A-Za-z][A-Za-z0-9_]*)(?:\[(\d{1,6})\])?")
_CELL = re.compile(r"(?:'((?:[^']|'')+)'|([^'!]+))!\$?([A-Za-z]{1,3})\$?([1-9]\d{0,6})")
SHORT = {"quantity": "break_quantity[1]"}
#: Types of field that hold whole numbers only.
WHOLE = ("pieces", "count", "days")


@dataclass(frozen=True, slots=True)
class Chosen:
    """A cell as somebody named it; ``placed`` is its field if it belongs to one."""

    words: str
    address: Address
    placed: Placed | None

    @property
    def whole(self) -> bool:
        """Tell whether the cell takes whole numbers only."""
        return self.placed is not None and self.placed.field.type in WHOLE

    @property
    def unit(self) -> str:
        """Return the unit of the field, empty where it has none of its own."""
        unit = self.placed.field.unit if self.placed is not None else ""
        return "" if unit.startswith("=") else unit

    @property
    def label(self) -> str:
        """Return the field's label, or the words themselves."""
        return self.placed.field.label if self.placed is not None else self.words


def chosen_cell(opened: Opened, words: str, option: str) -> Chosen:
    """Return the cell that the words name. Errors: InputError with the nearest field name."""
    words = words.strip()
    expanded = SHORT.get(words, words)
    cell = _CELL.fullmatch(expanded)
    if cell is not None:
        return Chosen(words, _cell_address(opened, cell, words, option), None)
    match = _FIELD.fullmatch(expanded)
    if match is None or opened.located is None:
        expected = "a field such as cycle_minutes[1], or a cell such as Routing!H12"
        if opened.located is None:
            expected = "a cell such as Sheet1!B4, since the workbook carries no contract of quotebook"
        refuse(opened, option, repr(words), expected, "name the cell in this way")
    name = match[1].lower()
    placed = opened.located.fields.get(name)
    if placed is None:
        near = get_close_matches(name, opened.located.fields, n=1)
        hint = f"perhaps {near[0]} is meant" if near else "the hidden sheet Contract lists all fields"
        refuse(opened, option, repr(words), "the name of a field", hint)
    return Chosen(words, _inside(opened, placed, match[2], words, option), placed)


def inputs_for(opened: Opened, varied: Sequence[Chosen]) -> tuple[Mapping[Address, Value], str]:
    """Return the workbook's inputs while some of them vary, and a note on what was left out for that.

    Quantities must rise from break to break, so while ``quantity`` varies it stands alone.
    """
    if all(each.words not in SHORT for each in varied) or opened.located is None:
        return opened.book.inputs, ""
    placed = opened.located.fields["break_quantity"]
    others = {Address(placed.sheet, placed.row + row, placed.column) for row in range(1, placed.rows)}
    kept = {cell: value for cell, value in opened.book.inputs.items() if cell not in others}
    return kept, "the other quantities of the job are left out while the quantity varies"


def require_input(opened: Opened, chosen: Chosen, option: str) -> None:
    """Refuse a cell that holds a formula: a formula's result cannot be set."""
    formula = opened.book.formulas.get(chosen.address)
    if formula is not None or chosen.address in opened.book.opaque:
        found = f"the formula ={formula}" if formula is not None else opened.book.opaque[chosen.address]
        refuse(opened, f"{option} {chosen.words} ({chosen.address})", found, "an input", "name an input cell")


def require_allowed(opened: Opened, chosen: Chosen, values: list[float], option: str) -> None:
    """Refuse numbers that the field does not take. Errors: InputError."""
    field = chosen.placed.field if chosen.placed is not None else None
    for value in values:
        if not math.isfinite(value):
            refuse(opened, f"{option} {chosen.words}", f"{value:g}", "a finite number", "correct the number")
        if field is None:
            continue
        if field.type in ("text", "long text", "choice", "yesno", "date"):
            refuse(
                opened, f"{option} {chosen.words}", f"a {field.type} field", "a field that holds a number", "name one"
            )
        too_low = (field.minimum is not None and value < field.minimum) or (
            field.above is not None and value <= field.above
        )
        too_high = (field.maximum is not None and value > field.maximum) or (
            field.below is not None and value >= field.below
        )
        if too_low or too_high:
            refuse(
                opened, f"{option} {chosen.words}", f"{value:g}", _allowed(chosen), "stay within what the cell takes"
            )


def _allowed(chosen: Chosen) -> str:
    assert chosen.placed is not None
    field = chosen.placed.field
    limits = [("at least", field.minimum), ("above", field.above), ("at most", field.maximum), ("below", field.below)]
    return " and ".join(f"{word} {limit:g}" for word, limit in limits if limit is not None)


def refuse(opened: Opened, where: str, found: str, expected: str, remedy: str) -> NoReturn:
    """Raise an InputError of four parts."""
    raise InputError(str(opened.snapshot.path), [f"{where}: found {found}; expected {expected}; {remedy}"])


def _cell_address(opened: Opened, match: re.Match[str], words: str, option: str) -> Address:
    title = (match[1] or match[2]).replace("''", "'")
    sheet = opened.snapshot.sheet(title)
    if sheet is None:
        titles = ", ".join(each.title for each in opened.snapshot.sheets)
        refuse(opened, option, repr(words), f"a sheet of the workbook ({titles})", "correct the title")
    return Address(sheet.title, int(match[4]), column_number(match[3]))


def _inside(opened: Opened, placed: Placed, index: str | None, words: str, option: str) -> Address:
    if placed.shape == "scalar":
        if index is not None:
            refuse(opened, option, repr(words), "no number, since the field is a single cell", "leave the brackets out")
        return Address(placed.sheet, placed.row, placed.column)
    by_lot = placed.shape == "series"
    first, last = (0, placed.columns - 1) if by_lot else (1, placed.rows)
    if index is None or not first <= int(index) <= last:
        what = "a lot" if by_lot else "a row"
        name = placed.field.name
        refuse(
            opened, option, repr(words), f"{what} from {first} to {last}, as {name}[1]", "give the number in brackets"
        )
    if by_lot:
        return Address(placed.sheet, placed.row, placed.column + int(index))
    return Address(placed.sheet, placed.row + int(index) - 1, placed.column)
