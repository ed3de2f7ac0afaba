"""Two workbooks of one job: what differs, and the price difference as a bridge, one change at a time.

Each step is computed with the file's own formulas: the inputs of the first workbook are changed into those of the
second in the order of the sheets, then the formulas that somebody changed, then whatever else is different. The steps
sum exactly to the whole difference.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from quotebook.engine import compile_book
from quotebook.engine.book import FormulaBook, Status
from quotebook.errors import BookError
from quotebook.flows.compare_data import Change, steps_between
from quotebook.flows.locks import open_elsewhere_note
from quotebook.flows.opening import Opened, open_workbook
from quotebook.template.fill import to_cell
from quotebook.template.plan import Placed
from quotebook.values import Address, Value
from quotebook.workbook.dates import serial_of
from quotebook.workbook.promises import Broken, broken_promises

SCHEMA = 1
#: The price that is explained: the whole first order of the quantity, nonrecurring included.
PRICE = "first_order_total"
#: Formulas changed by hand that get a step each; with more of them they get one together.
MOST_FORMULAS = 25


@dataclass(frozen=True, slots=True)
class FormulaChange:
    """A cell whose formula differs between the two; "" where a file holds nothing there."""

    field: str
    cell: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class BridgeStep:
    """What changed (several things, if the price is unknown in between), and the price before and after it."""

    what: str
    before: float
    after: float

    @property
    def amount(self) -> float:
        """What it did to the price."""
        return round(self.after - self.before, 6)


@dataclass(slots=True)
class Compared:
    """Both files. Prices are None where a file has none, and there is then no bridge; ``notes`` say why."""

    first: str
    second: str
    quantity: int | None
    first_price: float | None = None
    second_price: float | None = None
    changes: list[Change] = field(default_factory=list)
    formulas: list[FormulaChange] = field(default_factory=list)
    steps: list[BridgeStep] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def difference(self) -> float | None:
        """Second price minus first price."""
        if self.first_price is None or self.second_price is None:
            return None
        return round(self.second_price - self.first_price, 6)

    @property
    def same(self) -> bool:
        """Tell whether nothing differs at all."""
        return not (self.changes or self.formulas or self.difference)


def compare_files(first: Path, second: Path, *, quantity: int | None = None) -> Compared:
    """Compare two workbooks. ``quantity``: whose price is explained; the smallest that both have by default.

    Errors: BookError when a file cannot be read, carries no contract, or does not have the quantity.
    """
    a, b = _opened(first), _opened(second)
    assert a.inputs is not None
    assert b.inputs is not None
    assert a.located is not None
    wanted = _quantity(a, b, quantity)
    out = Compared(str(first), str(second), wanted)
    out.notes.extend(f"{path.name}: {note}" for path in (first, second) for note in open_elsewhere_note(path))
    if wanted is None:
        out.notes.append("the two have no quantity in common; the first quantity of each is compared")
    out.first_price, out.second_price = _own_price(a, wanted), _own_price(b, wanted)
    stages = list(steps_between(a.located, a.inputs.data, b.inputs.data))
    out.changes = [change for change, _ in stages]
    out.formulas = list(_formula_changes(a, b))
    if out.first_price is None or out.second_price is None:
        lacking = first if out.first_price is None else second
        out.notes.append(f"{lacking.name} has no price at this quantity, so there is no bridge")
        return out
    out.steps = list(_bridge(out, _states(a, b, stages, out, wanted)))
    return out


def _opened(path: Path) -> Opened:
    opened = open_workbook(path)
    if opened.contract is None or opened.located is None or PRICE not in opened.located.fields:
        raise BookError(
            f"{path}: found no job workbook of quotebook, expected two of them; make one with: quotebook new"
        )
    return opened


def _quantity(a: Opened, b: Opened, asked: int | None) -> int | None:
    ours, theirs = (set(_quantities(one)) for one in (a, b))
    both = sorted(ours & theirs)
    if asked is None:
        return both[0] if both else None
    if asked not in both:
        listed = ", ".join(map(str, both)) or "none"
        raise BookError(f"--quantity: found {asked}, expected one that both have ({listed}); choose one of these")
    return asked


def _quantities(opened: Opened) -> list[int]:
    assert opened.inputs is not None
    found = opened.inputs.job.get("job", {}).get("quantities", [])
    return [int(one) for one in found if isinstance(one, int | float)]


# -- prices of a state -------------------------------------------------------------------------


def _own_price(opened: Opened, quantity: int | None) -> float | None:
    assert opened.located is not None
    return _price(opened.book, opened.located.fields, quantity)


def _price(book: FormulaBook, fields: Mapping[str, Placed], quantity: int | None) -> float | None:
    """Return the price that a book's own formulas come to, None where it is no number."""
    results = compile_book(book).run(book.inputs).results

    def number(name: str, lot: int) -> float | None:
        placed = fields[name]
        result = results.get(Address(placed.sheet, placed.row, placed.column + lot))
        known = result is not None and result.status is Status.EVALUATED and isinstance(result.value, float)
        return round(result.value, 6) if known else None  # type: ignore[union-attr, arg-type]

    if quantity is None:
        return number(PRICE, 1)
    lots = range(1, fields["lot_size"].columns)
    lot = next((one for one in lots if number("lot_size", one) == quantity), None)
    return None if lot is None else number(PRICE, lot)


def _states(
    a: Opened, b: Opened, stages: list[tuple[Change, dict[str, Any]]], out: Compared, quantity: int | None
) -> Iterator[tuple[str, float | None]]:
    """Yield each state on the way from the first to the second workbook: what was changed, and the price then."""
    assert a.located is not None
    assert a.inputs is not None
    base = a
    if not all(_fits(a, data) for _, data in stages):
        base = b
        out.notes.append(
            "the first workbook has too few rows for the second one's, so the second one's formulas are used"
        )
    assert base.located is not None
    fields = base.located.fields
    start = with_inputs(base, a.inputs.data)
    yield "the formulas of the second workbook" if base is b else "inputs read back", _price(start, fields, quantity)
    book = start
    for change, data in stages:
        book = with_inputs(base, data)
        yield change.told, _price(book, fields, quantity)
    if base is a and _same_layout(a, b) and len(out.formulas) <= MOST_FORMULAS:
        for one, address in zip(out.formulas, _addresses(a, b), strict=True):
            book = _with_formula(book, b.book, address)
            yield f"formula of {one.field} in {one.cell}", _price(book, fields, quantity)


def with_inputs(opened: Opened, data: Mapping[str, Any]) -> FormulaBook:
    """Return the workbook's book with other data in its input cells; cells that are no fields stay as they are."""
    assert opened.located is not None
    inputs = dict(opened.book.inputs)
    for placed in opened.located.fields.values():
        if not placed.field.is_input:
            continue
        path = placed.field.bind if placed.shape == "scalar" else placed.table_bind
        value: Any = data
        for step in path.split("."):
            value = value.get(step) if isinstance(value, Mapping) else None
        cells = [value] if placed.shape == "scalar" else _column(value, placed)
        for row in range(placed.rows):
            address = Address(placed.sheet, placed.row + row, placed.column)
            entry = cells[row] if row < len(cells) else None
            inputs.pop(address, None)
            if entry is not None and entry != "":
                inputs[address] = _cell(entry, opened.book.date1904)
    return replace(opened.book, inputs=inputs)


def _column(rows: Any, placed: Placed) -> list[Any]:
    listed = rows if isinstance(rows, list) else []
    if placed.field.bind == ".":
        return list(listed)
    return [row.get(placed.field.bind) for row in listed]


def _cell(value: Any, date1904: bool) -> Value:
    if date1904 and hasattr(value, "isoformat"):
        return serial_of(value, True)
    return to_cell(value)


def _fits(opened: Opened, data: Mapping[str, Any]) -> bool:
    assert opened.located is not None
    for placed in opened.located.fields.values():
        if placed.field.is_input and placed.shape != "scalar":
            value: Any = data
            for step in placed.table_bind.split("."):
                value = value.get(step) if isinstance(value, Mapping) else None
            if isinstance(value, list) and len(value) > placed.rows:
                return False
    return True


# -- formulas ----------------------------------------------------------------------------------


def _formula_changes(a: Opened, b: Opened) -> Iterator[FormulaChange]:
    ours, theirs = _broken(a), _broken(b)
    for key in sorted(set(ours) | set(theirs), key=str):
        one, other = ours.get(key), theirs.get(key)
        before = one.found if one is not None else (other.expected if other is not None else "")
        after = other.found if other is not None else (one.expected if one is not None else "")
        if before != after:
            known = one or other
            assert known is not None
            yield FormulaChange(known.field, str(known.address), before, after)


def _broken(opened: Opened) -> dict[tuple[str, int, int], Broken]:
    assert opened.contract is not None
    assert opened.located is not None
    found = {}
    for one in broken_promises(opened.contract, opened.located, opened.snapshot):
        placed = opened.located.fields[one.field]
        found[one.field, one.address.row - placed.row, one.address.column - placed.column] = one
    return found


def _addresses(a: Opened, b: Opened) -> list[Address]:
    """Return the cells of the formula changes, in the same order."""
    ours, theirs = _broken(a), _broken(b)
    found = []
    for key in sorted(set(ours) | set(theirs), key=str):
        one, other = ours.get(key), theirs.get(key)
        if one is not None and other is not None and one.found == other.found:
            continue
        known = one or other
        assert known is not None
        found.append(known.address)
    return found


def _same_layout(a: Opened, b: Opened) -> bool:
    assert a.located is not None
    assert b.located is not None

    def places(opened: Opened) -> dict[str, tuple[str, int, int, int, int]]:
        fields = opened.located.fields if opened.located is not None else {}
        return {name: (one.sheet, one.row, one.column, one.rows, one.columns) for name, one in fields.items()}

    return places(a) == places(b)


def _with_formula(book: FormulaBook, other: FormulaBook, address: Address) -> FormulaBook:
    """Return the book with one cell as the other book has it: a formula, a constant, or nothing."""
    formulas, inputs = dict(book.formulas), dict(book.inputs)
    formulas.pop(address, None)
    inputs.pop(address, None)
    if address in other.formulas:
        formulas[address] = other.formulas[address]
    elif address in other.inputs:
        inputs[address] = other.inputs[address]
    return replace(book, formulas=formulas, inputs=inputs)


# -- the bridge --------------------------------------------------------------------------------


def _bridge(out: Compared, states: Iterator[tuple[str, float | None]]) -> Iterator[BridgeStep]:
    """Yield a step for each state that moves the price; states without a price are told with the next one that has."""
    assert out.first_price is not None
    assert out.second_price is not None
    price, waiting = out.first_price, list[str]()
    for what, after in states:
        if after is None:
            waiting.append(what)
            continue
        if after != price:
            yield BridgeStep("; ".join([*waiting, what]), price, after)
        price, waiting = after, []
    if out.second_price != price:
        rest = "; ".join([*waiting, "formulas, and cells that are no fields"])
        yield BridgeStep(rest, price, out.second_price)
