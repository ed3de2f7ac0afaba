"""The fields of an opened workbook with their recomputed values."""

from __future__ import annotations

from collections.abc import Mapping

from quotebook.engine.book import Evaluation, Status
from quotebook.flows.opening import Opened
from quotebook.values import Address, Value


class FieldView:
    """Values of a workbook's fields as recomputed; an unknown one is None."""

    def __init__(self, opened: Opened, evaluation: Evaluation) -> None:
        self.opened = opened
        self.results = evaluation.results

    def value(self, address: Address) -> tuple[bool, Value]:
        """Return whether the value is known, and the value: the recomputed result, or the constant typed there."""
        result = self.results.get(address)
        if result is not None:
            return result.status is Status.EVALUATED, result.value
        return True, self.opened.book.inputs.get(address)

    def stored(self, address: Address) -> Value:
        """Return what the file holds at an address: a constant, or the result stored at the last save."""
        cell = self.opened.snapshot.cell(address)
        return cell.value if cell is not None else None

    def number(self, name: str, lot: int = 0) -> float | None:
        """Return the number in a field (for a series, of one lot), or None."""
        placed = self.opened.located.fields.get(name) if self.opened.located else None
        if placed is None:
            return None
        known, value = self.value(Address(placed.sheet, placed.row, placed.column + lot))
        return value if known and isinstance(value, float) else None

    def text(self, name: str) -> str:
        """Return the text in a field, empty where there is none."""
        placed = self.opened.located.fields.get(name) if self.opened.located else None
        if placed is None:
            return ""
        known, value = self.value(Address(placed.sheet, placed.row, placed.column))
        return str(value) if known and value is not None else ""


def field_names(opened: Opened) -> Mapping[Address, str]:
    """Return the field that each cell belongs to; empty without a contract."""
    if opened.located is None:
        return {}
    names: dict[Address, str] = {}
    for name, placed in opened.located.fields.items():
        for row in range(placed.rows):
            for column in range(placed.columns):
                names[Address(placed.sheet, placed.row + row, placed.column + column)] = name
    return names
