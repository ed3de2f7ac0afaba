"""What stands behind the price: the workbook's formulas and the reference agree on every line and row, to 1e-9.

Random jobs; none of the two is the source of truth. LibreOffice is the third witness in ``test_three_engines``, which
compares every cell of such jobs.
"""

from __future__ import annotations

import math
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from quotebook.engine import Status, evaluate
from quotebook.flows.elements import Key, reference_values
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.trade_elements import rows_of, trade_values
from quotebook.pricing import fit_check, price_job
from quotebook.values import Address, Value
from tests.cross.dense import dense_workbooks
from tests.made import place

PARTS, JOBS = 2, 8


@cache
def compared(part: int, folder: Path) -> tuple[Counter[str], list[str]]:
    """Return how often each field was compared with a known figure, and in words what differs."""
    counts: Counter[str] = Counter()
    wrong: list[str] = []
    for path in dense_workbooks(5000 + part, JOBS, folder):
        opened = open_workbook(path)
        assert opened.job is not None, opened.problems
        assert opened.shop is not None
        shown = results(opened)
        price = price_job(opened.job, opened.shop)
        rows = rows_of(opened)
        pairs = dict(trade_values(opened.job, opened.shop, price, rows))
        if not price.all_missing:
            pairs.update(reference_values(price, fit_check(opened.job, opened.shop), rows.breaks, rows.operations))
        for key, reference in pairs.items():
            if reference is None:
                continue
            counts[key[0]] += 1
            found = shown.get(cell(opened, key))
            if not same(found, reference):
                wrong.append(f"{path.name} {key}: workbook {found!r}, reference {reference!r}")
    return counts, wrong


def results(opened: Opened) -> dict[Address, Value]:
    found = evaluate(opened.book).results
    assert all(result.status is Status.EVALUATED for result in found.values()), "a cell of our own was not evaluated"
    return {address: result.value for address, result in found.items()}


def cell(opened: Opened, key: Key) -> Address:
    return place(opened, key[0], key[2] or 0, key[1] or 0)


def same(one: Value, other: Value) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return type(one) is type(other) and one == other


@pytest.mark.parametrize("part", range(PARTS))
def test_every_figure_behind_the_price_agrees(part: int, tmp_path: Path) -> None:
    counts, wrong = compared(part, tmp_path)
    assert not wrong, f"{len(wrong)} differ: {wrong[:6]}"
    for name, least in LEAST.items():
        assert counts[name] >= least, (name, counts[name])


#: So many cases of each field at least in every part of random jobs; two parts make the 200 of each sheet.
LEAST = {
    "cutting_minutes": 100,
    "cut_minutes": 30,
    "cut_power": 10,
    "cut_share": 100,
    "setup_computed": 10,
    "extended_price": 5,
    "extras_cost": 5,
    "stock_bought_weight": 5,
    "risk_spread": 5,
    "producers_risk": 2,
    "lead_days_total": 5,
    "build_cost": 4,
}
