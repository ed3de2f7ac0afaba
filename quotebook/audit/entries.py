"""Everything that people typed into the inputs of a workbook with a contract."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from quotebook.audit.view import BookView, cells_of
from quotebook.template.plan import Placed
from quotebook.values import Address, Value


class Entry(NamedTuple):
    """One input cell with content; row and column within its field from 0."""

    placed: Placed
    address: Address
    row: int
    value: Value

    @property
    def name(self) -> str:
        """Return the field's name."""
        return self.placed.field.name


def entries(view: BookView) -> Iterator[Entry]:
    """Yield the input cells that hold something, in the contract's order; formulas typed there with their result."""
    yield from view.shared(_all_entries)


def _all_entries(view: BookView) -> tuple[Entry, ...]:
    return tuple(_found(view))


def _found(view: BookView) -> Iterator[Entry]:
    for placed in view.located.fields.values() if view.located is not None else ():
        if placed.field.is_input:
            for address, row, _ in cells_of(placed):
                value = view.value(address)
                if value is not None and not (isinstance(value, str) and not value.strip()):
                    yield Entry(placed, address, row, value)


def rows_of(view: BookView, key: str) -> Iterator[int]:
    """Yield the rows of a table, from 0, whose key field is filled in."""
    placed = view.field(key)
    for row in range(placed.rows if placed is not None else 0):
        value = view.field_value(key, row)
        if value is not None and value != "":
            yield row
