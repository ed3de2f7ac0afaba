"""Copies of workbooks in which every stored result is one odd number: whoever echoes a stored result is caught."""

from __future__ import annotations

from pathlib import Path

from quotebook.workbook.changes import NewResult
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from tests.made import formula_cells

POISON = 987654321.5


def poisoned_copy(source: Path, target: Path) -> Path:
    """Write the copy and return its path."""
    cells = formula_cells(read_snapshot(source))
    write_copy(source, target, {cell: NewResult(POISON) for cell in cells})
    stored = read_snapshot(target)
    assert all(found is not None and found.value == POISON for found in map(stored.cell, cells))
    return target
