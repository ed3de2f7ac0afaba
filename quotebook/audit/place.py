"""Cells as findings name them: ``E14`` or ``E14:E20`` on a sheet."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from quotebook.values import Address
from quotebook.workbook.areas import Area, cell_name, parse_area


def range_name(area: Area) -> str:
    """Return A1 text of an area: one cell or a range."""
    first, last = cell_name(area.first_row, area.first_column), cell_name(area.last_row, area.last_column)
    return first if first == last else f"{first}:{last}"


def cells_name(cells: Iterable[Address]) -> str:
    """Return the smallest range that holds the cells, which must be of one sheet."""
    listed = list(cells)
    rows, columns = [cell.row for cell in listed], [cell.column for cell in listed]
    return range_name(Area(min(rows), min(columns), max(rows), max(columns)))


@lru_cache(maxsize=20_000)
def area_of(cells: str) -> Area | None:
    """Return the area of a finding's cells; None for the workbook as a whole."""
    return parse_area(cells) if cells else None
