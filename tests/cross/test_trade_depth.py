"""What stands behind the price: the workbook's formulas and the reference agree on every line and row, to 1e-9.

Random jobs; none of the two is the source of truth. LibreOffice is the third witness in ``test_three_engines``, which
compares every cell of such jobs.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator

import pytest

from quotebook.flows.elements import reference_values
from quotebook.flows.trade_elements import Rows, trade_values
from quotebook.model import Job, Shop
from quotebook.pricing import fit_check, price_job
from quotebook.values import Address, Value
from tests.cross.dense import PLAN, dense_results
from tests.cross.unfiled import cell

PARTS, JOBS = 4, 55
#: More are drawn, so many at a time and so often at most, until every field has its cases: what is drawn depends on
#: the modules that happen to be loaded, so a fixed number of jobs holds now more cases of a field, now fewer.
MORE, ROUNDS = 15, 6

#: So many cases of each field at least in every part.
LEAST = {
    "cutting_minutes": 300,
    "cut_minutes": 100,
    "cut_power": 25,
    "cut_share": 300,
    "setup_computed": 50,
    "extended_price": 25,
    "extras_cost": 25,
    "stock_bought_weight": 25,
    "stock_next_size": 3,
    "size from the part": 3,
    "length from the part": 3,
    "stock_usual_price": 3,
    "setup_base_used": 50,
    "load_used": 50,
    "touch_offs_used": 50,
    "cutting_changes_used": 300,
    "cutting_rapid_used": 300,
    "stock_allowance": 10,
    "cut_missing": 40,
    "costs in two places": 8,
    "risk_spread": 25,
    "producers_risk": 5,
    "lead_days_total": 25,
    "build_cost": 25,
}


@pytest.mark.parametrize("part", range(PARTS))
def test_every_figure_behind_the_price_agrees(part: int) -> None:
    fields: Counter[str] = Counter()
    sheets: Counter[str] = Counter()
    wrong: list[str] = []
    for shop, job, rows, shown in jobs_until(part, lambda: not too_few(fields)):
        price = price_job(job, shop)
        pairs = dict(trade_values(job, shop, price, rows))
        if not price.all_missing:
            pairs.update(reference_values(price, fit_check(job, shop), rows.breaks, rows.operations))
        for (name, lot, row), reference in pairs.items():
            if reference is None:
                continue
            address = cell(PLAN, name, row, lot)
            found = shown.get(address)
            fields[name] += 1
            fields["size from the part"] += name == "stock_size_a_used" and job.stock.size_a is None
            fields["length from the part"] += name == "stock_piece_length_used" and job.stock.piece_length is None
            fields["costs in two places"] += name == "double_count" and reference != 0
            sheets[address.sheet] += 1
            if not same(found, reference):
                wrong.append(f"{name} lot {lot} row {row}: workbook {found!r}, reference {reference!r}")
    assert not wrong, f"{len(wrong)} differ: {wrong[:6]}"
    assert not too_few(fields), f"too few cases: {too_few(fields)}"
    judged = ("Stock", "Cutting", "Setup", "Routing", "Inspection", "Hourly rates", "Risk", "Lead time", "Price")
    assert not {sheet: sheets[sheet] for sheet in judged if sheets[sheet] < 50}


def too_few(fields: Counter[str]) -> dict[str, int]:
    return {name: fields[name] for name, least in LEAST.items() if fields[name] < least}


def jobs_until(part: int, enough: Callable[[], bool]) -> Iterator[tuple[Shop, Job, Rows, dict[Address, Value]]]:
    yield from dense_results(5000 + part, JOBS)
    for number in range(ROUNDS):
        if enough():
            return
        yield from dense_results(6000 + part * ROUNDS + number, MORE)


def same(one: Value, other: Value) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return type(one) is type(other) and one == other
