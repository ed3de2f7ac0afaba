"""What if an input were another one: results of a workbook along a range of inputs, through its own formulas."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path

import numpy as np

from quotebook.engine.compile import compile_book
from quotebook.engine.many.run import Answers, run_cases
from quotebook.flows.field_words import SHORT, Chosen, chosen_cell, inputs_for, refuse, require_allowed, require_input
from quotebook.flows.opening import Opened, open_workbook
from quotebook.values import Address, ErrorValue, Value

#: Cases of one call; more would not be read by anybody and only fill the memory.
MOST_CASES = 1_000_000
SCHEMA = 1
_RANGE = re.compile(r"\s*([^=]+?)\s*=\s*([^:]+)(?::([^:]+)(?::([^:]+))?)?\s*")


@dataclass(frozen=True, slots=True)
class Setting:
    """An input and the values that it takes, in rising order as given."""

    chosen: Chosen
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """One result along all cases: a number, a text or an error a case, None with a reason where it is unknown."""

    chosen: Chosen
    title: str
    values: tuple[Value, ...]
    unknown: dict[int, str]


@dataclass(slots=True)
class WhatIf:
    """``cases[n]``: the values of the varied inputs in case n, in the order of ``settings``."""

    file: str
    settings: list[Setting]
    cases: list[tuple[float, ...]]
    shown: list[Shown]
    formulas: int
    varying: int
    currency: str = ""
    notes: list[str] = field(default_factory=list)

    @property
    def known(self) -> bool:
        """Tell whether every result of every case is known."""
        return not any(each.unknown for each in self.shown)


def what_if(path: Path, settings: Sequence[str], show: Sequence[str] = ()) -> WhatIf:
    """Return the results of a workbook for every combination of the settings.

    Shape:  settings such as ``cycle_minutes[1]=2:6:9`` (nine values from 2 to 6) or ``spare_pieces=0``; ``show`` names
            results, by default price, cost and margin of every lot in use.
    Errors: InputError for a setting that makes no sense, BookError for an unreadable file.
    """
    opened = open_workbook(path)
    parsed = [_setting(opened, words) for words in settings]
    if not parsed:
        refuse(opened, "--set", "nothing", "an input and its range, as --set quantity=1:500:50", "name one")
    repeated = {s.chosen.address for s in parsed}
    if len(repeated) != len(parsed):
        refuse(opened, "--set", "one input twice", "each input once", "leave one of them out")
    count = int(np.prod([len(setting.values) for setting in parsed]))
    if count > MOST_CASES:
        refuse(opened, "--set", f"{count} cases", f"at most {MOST_CASES}", "take fewer values")
    cases = list(product(*(setting.values for setting in parsed)))
    titles = shown_cells(opened, show, parsed)
    varied = {s.chosen.address: np.array([case[n] for case in cases]) for n, s in enumerate(parsed)}
    inputs, note = inputs_for(opened, [setting.chosen for setting in parsed])
    found = run_cases(compile_book(opened.book), inputs, varied, [each.address for each, _ in titles])
    shown = [Shown(chosen, title, *_told(found.answers[chosen.address], count)) for chosen, title in titles]
    result = WhatIf(str(path), parsed, cases, shown, found.formulas, found.varying, currency_of(opened))
    if note:
        result.notes.append(note)
    if not found.varying:
        result.notes.append("none of the results shown depends on what was set")
    return result


def _told(answers: Answers, count: int) -> tuple[tuple[Value, ...], dict[int, str]]:
    values: list[Value] = []
    for case in range(count):
        values.append(None if case in answers.unknown else answers.value(case).value)
    return tuple(values), answers.unknown


def _setting(opened: Opened, words: str) -> Setting:
    match = _RANGE.fullmatch(words)
    if match is None:
        refuse(opened, "--set", repr(words), "FIELD=first:last:count or FIELD=value", "write it in this way")
    chosen = chosen_cell(opened, match[1], "--set")
    require_input(opened, chosen, "--set")
    first = _number(opened, words, match[2])
    if match[3] is None:
        values = [first]
    else:
        last = _number(opened, words, match[3])
        steps = _number(opened, words, match[4] or "11")
        if steps != int(steps) or not 2 <= steps <= MOST_CASES:
            refuse(
                opened, f"--set {words}", f"{steps:g} values", f"a whole number from 2 to {MOST_CASES}", "correct it"
            )
        values = np.linspace(first, last, int(steps)).tolist()
    if chosen.whole:
        values = list(dict.fromkeys(float(round(value)) for value in values))
    require_allowed(opened, chosen, values, "--set")
    return Setting(chosen, tuple(values))


def _number(opened: Opened, words: str, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        refuse(opened, f"--set {words}", repr(text), "a number", "write it with a decimal point and without a unit")
    if not np.isfinite(value) or abs(value) > 1e15:
        refuse(opened, f"--set {words}", repr(text), "a number that a cell can hold", "correct it")
    return value


def shown_cells(opened: Opened, show: Sequence[str], settings: Sequence[Setting]) -> list[tuple[Chosen, str]]:
    """Return the cells whose results are wanted with a title each. Errors: InputError."""
    if show:
        cells = [chosen_cell(opened, words, "--show") for words in show]
        return [(each, each.words) for each in cells]
    if opened.located is None:
        refuse(opened, "--show", "nothing", "a cell, since the workbook carries no contract", "as --show Sheet1!D9")
    lots = lots_in_use(opened)
    if any(s.chosen.address == chosen_cell(opened, SHORT["quantity"], "--set").address for s in settings):
        lots = [1]  # the quantity itself is what varies
    found = []
    for name, title in (("unit_price", "unit price"), ("lot_cost", "our cost"), ("lot_margin", "margin")):
        for lot in lots:
            if name in opened.located.fields:
                title_of_lot = title if len(lots) == 1 else f"{title} {lot_quantity(opened, lot)}"
                found.append((chosen_cell(opened, f"{name}[{lot}]", "--show"), title_of_lot))
    return found


def lots_in_use(opened: Opened) -> list[int]:
    """Return the numbers of the quantity breaks that hold a quantity; the first piece alone if none does."""
    assert opened.located is not None
    placed = opened.located.fields.get("break_quantity")
    rows = range(placed.rows) if placed is not None else range(0)
    used = [row + 1 for row in rows if placed and _typed(opened, placed.sheet, placed.row + row, placed.column)]
    return used or [0]


def lot_quantity(opened: Opened, lot: int) -> str:
    """Return the quantity of a lot as it is typed, with a unit."""
    assert opened.located is not None
    placed = opened.located.fields.get("break_quantity")
    value = _typed(opened, placed.sheet, placed.row + lot - 1, placed.column) if placed and lot else None
    return "first piece" if value is None else f"{value:g} pcs"


def _typed(opened: Opened, sheet: str, row: int, column: int) -> float | None:
    value = opened.book.inputs.get(Address(sheet, row, column))
    return value if isinstance(value, float) and value else None


def currency_of(opened: Opened) -> str:
    """Return the currency symbol typed into the workbook, or nothing."""
    placed = opened.located.fields.get("currency_symbol") if opened.located else None
    value = opened.book.inputs.get(Address(placed.sheet, placed.row, placed.column)) if placed else None
    return value if isinstance(value, str) else ""


def plain(value: Value) -> float | str | bool | None:
    """Return a value as JSON holds it; an error as its name."""
    return value.value if isinstance(value, ErrorValue) else value
