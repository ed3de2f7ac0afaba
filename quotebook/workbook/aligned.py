"""Rows of tables that follow another table row by row, after rows were inserted in that table.

The Actuals sheet has one row for each row of the Routing. When somebody inserts a row in the Routing, the Actuals do
not grow, but their formulas still refer to the operations that they were made for. Which row it is, is read from them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import pairwise

from quotebook.template.plan import Placed
from quotebook.values import Address
from quotebook.workbook.snapshot import Sheet, Snapshot


def home_of(placed: Placed, fields: Mapping[str, Placed]) -> Placed | None:
    """Return the key column of the table that a column's rows belong to, or None when it is the column's own table."""
    keys = {other.table_key for other in fields.values() if other.row_key == placed.row_key and other.table_key}
    homes = [fields[key] for key in sorted(keys) if key in fields]
    if not placed.row_key or len(homes) != 1 or homes[0].sheet == placed.sheet:
        return None
    return homes[0]


def row_at_home(snapshot: Snapshot, address: Address, home: Placed) -> int | None:
    """Return the row on the home sheet that the first formula of a row refers to, or None where none does."""
    sheet = snapshot.sheet(address.sheet)
    return None if sheet is None else _first_row(sheet, address.row, home)


def home_positions(snapshot: Snapshot, placed: Placed, home: Placed) -> list[int]:
    """Return for each row of a column the position (from 0) of its row in the home table.

    Rows that cannot be told, or that are out of order, keep the position that they were made with: then the cells
    themselves are wrong and must not be believed.
    """
    sheet = snapshot.sheet(placed.sheet)
    as_made = list(range(placed.rows))
    if sheet is None:
        return as_made
    rows = [_first_row(sheet, placed.row + index, home) for index in as_made]
    found = [row - home.row for row in rows if row is not None]
    rising = all(before < after for before, after in pairwise(found))
    inside = all(0 <= position < home.rows for position in found)
    return found if len(found) == placed.rows and rising and inside else as_made


def _first_row(sheet: Sheet, row: int, home: Placed) -> int | None:
    plain, in_quotes = re.escape(home.sheet), re.escape(home.sheet.replace("'", "''"))
    pattern = re.compile(rf"(?<![\w'.!])(?:{plain}|'{in_quotes}')!\$?[A-Z]{{1,3}}(\d+)(?!\d)")
    for column in range(1, 40):
        cell = sheet.cells.get((row, column))
        match = pattern.search(cell.formula) if cell is not None and cell.formula else None
        if match is not None:
            return int(match[1])
    return None
