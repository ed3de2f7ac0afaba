"""Workbooks made for tests, and short ways to look into them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from quotebook.flows.new import make_workbook
from quotebook.flows.opening import Opened, open_workbook
from quotebook.model import Job, Shop, to_data
from quotebook.template.plan import Placed
from quotebook.values import Address, Value
from quotebook.workbook.changes import NewInput
from quotebook.workbook.patch import write_copy
from quotebook.workbook.snapshot import Snapshot

#: Few rows, for tests that need a whole workbook but not many rows of it; every job of tests.samples fits.
FEW_ROWS: Mapping[str, int] = {
    "quantity_breaks": 3, "routing": 4, "cutting": 4, "buyouts": 3, "supplier_prices": 6, "nonrecurring": 4,
    "hand_rates": 5, "work_centers": 3, "materials": 3, "sampling": 6,
}  # fmt: skip


def write_workbook(path: Path, shop: Shop | None, job: Job | None, rows: Mapping[str, int] | None = None) -> Path:
    """Write a workbook made from models (None: blank) and return its path."""
    path.write_bytes(_content(shop, job, tuple(sorted((rows or {}).items()))))
    return path


@cache
def _content(shop: Shop | None, job: Job | None, rows: tuple[tuple[str, int], ...]) -> bytes:
    shop_data = None if shop is None else to_data(shop)
    job_data = None if job is None else to_data(job)
    return make_workbook(shop_data, job_data, rows=dict(rows)).content


def place(opened: Opened, name: str, row: int = 0, lot: int = 0) -> Address:
    """Return the cell of a field: the row of its table and the lot counted from 0."""
    assert opened.located is not None
    placed: Placed = opened.located.fields[name]
    assert row < placed.rows
    assert lot < placed.columns
    return Address(placed.sheet, placed.row + row, placed.column + lot)


def stored(opened: Opened, name: str, row: int = 0, lot: int = 0) -> Value:
    """Return what the file stores for a field."""
    cell = opened.snapshot.cell(place(opened, name, row, lot))
    return cell.value if cell is not None else None


def with_inputs(source: Path, target: Path, inputs: Mapping[tuple[str, int], Value]) -> Path:
    """Write a copy in which cells of input fields, given by name and row, hold something else."""
    opened = open_workbook(source)
    write_copy(source, target, {place(opened, *key): NewInput(value) for key, value in inputs.items()})
    return target


def formula_cells(snapshot: Snapshot) -> list[Address]:
    """Return the address of every formula cell of a file."""
    return [
        Address(sheet.title, row, column)
        for sheet in snapshot.sheets
        for (row, column), cell in sheet.cells.items()
        if cell.formula is not None
    ]
