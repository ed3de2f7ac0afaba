"""What one planted fault is: the changes that make it, and what must be known to judge whether it was found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import TypeVar

from quotebook.values import Address
from quotebook.workbook.changes import Change, NewFormula, NewInput
from tests.faults.ground import Ground

T = TypeVar("T")
#: A change of the workbook part (names, calculation), from its bytes to its new bytes.
WorkbookEdit = Callable[[bytes], bytes]


@dataclass(frozen=True)
class Fault:
    """A fault that can be planted in one ground.

    ``cells``: where it sits. ``also``: further cells at which naming it is right. ``name``: the defined name that it
    concerns. ``left_out``: money that stands on the sheet and is not counted, for a fault that moves no figure.
    """

    cells: tuple[Address, ...]
    changes: Mapping[Address, Change]
    old: str
    new: str
    note: str = ""
    also: tuple[Address, ...] = ()
    name: str = ""
    workbook_edit: WorkbookEdit | None = None
    left_out: float | None = None
    form: str = ""
    stale_only: bool = field(default=False)


Planter = Callable[[Ground, Random], Fault | None]


def formula_fault(ground: Ground, cell: Address, text: str | None, note: str, form: str = "") -> Fault | None:
    """Return the fault that gives one cell another formula; None where that is no change."""
    old = ground.book.formulas[cell]
    if text is None or text == old:
        return None
    change = NewFormula(text, ground.values.get(cell))
    return Fault((cell,), {cell: change}, f"={old}", f"={text}", note, form=form)


def input_fault(ground: Ground, cell: Address, value: float | str, note: str, form: str = "") -> Fault | None:
    """Return the fault that types another constant into an input cell."""
    old = ground.values[cell]
    if value == old:
        return None
    return Fault((cell,), {cell: NewInput(value)}, repr(old), repr(value), note, form=form)


def shuffled(draw: Random, items: object) -> list[T]:
    """Return the items in a random order."""
    found = list(items)  # type: ignore[call-overload]
    draw.shuffle(found)
    return found


def is_free(ground: Ground, cell: Address) -> bool:
    """Tell whether a cell may be changed: it belongs to no array formula."""
    content = ground.snapshot.cell(cell)
    return content is None or not (content.part_of_array or content.array_range)
