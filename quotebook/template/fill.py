"""Putting a job and a shop profile into the input cells of a plan.

The data are plain tables as read from the files; the template says by ``bind`` which cell takes which value.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from quotebook.errors import TemplateError
from quotebook.template.layout import inputs_of
from quotebook.template.plan import Placed, Plan
from quotebook.values import Address, Value

_DAY_ZERO = datetime.date(1899, 12, 30)


def fill(plan: Plan, data: Mapping[str, Mapping[str, Any]]) -> dict[Address, Value]:
    """Return the content of every input cell that the data have a value for.

    Shape:  ``data`` holds "job" and "shop"; a table missing in the data leaves its cells blank.
    Errors: TemplateError when a list has more rows than the workbook has room for, naming both.
    """
    cells: dict[Address, Value] = {}
    for placed in inputs_of(plan):
        if placed.shape == "scalar":
            value = _lookup(data, placed.field.bind)
            if value is not None and value != "":
                cells[Address(placed.sheet, placed.row, placed.column)] = to_cell(value)
            continue
        rows = _lookup(data, placed.table_bind) or ()
        _fits(placed, rows)
        for index, row in enumerate(rows):
            value = row if placed.field.bind == "." else row.get(placed.field.bind)
            if value is not None and value != "":
                cells[Address(placed.sheet, placed.row + index, placed.column)] = to_cell(value)
    return cells


def to_cell(value: object) -> Value:
    """Return a value as a cell holds it: yes and no for logicals, serial days (1900 system) for dates."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return float(value)
    if isinstance(value, datetime.date):
        return float((value - _DAY_ZERO).days)
    return str(value)


def _lookup(data: Mapping[str, Any], path: str) -> Any:
    found: Any = data
    for step in path.split("."):
        if not isinstance(found, Mapping) or step not in found:
            return None
        found = found[step]
    return found


def _fits(placed: Placed, rows: Sequence[Any]) -> None:
    if len(rows) > placed.rows:
        what = placed.table_bind.rsplit(".", 1)[-1]
        raise TemplateError(
            f"{placed.sheet}: found {len(rows)} rows of {what}, expected at most {placed.rows}; "
            f"make the workbook with more rows ({placed.row_key}={len(rows)})"
        )
