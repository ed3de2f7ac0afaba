"""The workbook's formulas evaluated for a job without a file between.

The generator writes exactly these formulas and inputs into the file (``tests/workbook/test_generate.py`` holds file and
plan against each other), so many jobs can be tried in the time that one file takes.
"""

from __future__ import annotations

from functools import cache

from quotebook.engine import Status, evaluate
from quotebook.model import Job, Shop, to_data
from quotebook.template.fill import fill
from quotebook.template.formulas import plan_formulas
from quotebook.template.layout import lay_out
from quotebook.template.load import DEFAULT_TEMPLATE, load_template
from quotebook.template.plan import Plan
from quotebook.values import Address, Value

#: Few rows in the tables that no test of random jobs fills further.
REST = {
    "sampling": 5, "material_groups": 2, "speeds": 28, "work_holdings": 3, "standard_sizes": 12,
    "special_processes": 3, "asked_processes": 2, "extras": 4, "holidays": 5,
}  # fmt: skip


@cache
def layout(rows: tuple[tuple[str, int], ...]) -> Plan:
    """The template laid out with these capacities, once: its formulas are then compiled once too."""
    return lay_out(load_template(DEFAULT_TEMPLATE, dict(rows)))


def shown(plan: Plan, shop: Shop, job: Job) -> dict[Address, Value]:
    """Return inputs and results of all cells; each formula must be one that can be evaluated."""
    book = plan_formulas(plan, fill(plan, {"shop": to_data(shop), "job": to_data(job)}))
    results = evaluate(book).results
    assert all(one.status is Status.EVALUATED for one in results.values()), "a cell of our own was not evaluated"
    return dict(book.inputs) | {address: one.value for address, one in results.items()}


def cell(plan: Plan, name: str, row: int | None, lot: int | None) -> Address:
    """Return the cell of a field in a workbook as made."""
    placed = plan.placed[name]
    return Address(placed.sheet, placed.row + (row or 0), placed.column + (lot or 0))
