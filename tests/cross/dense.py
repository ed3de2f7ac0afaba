"""Random jobs with many rows in every list, the same ones in every run, evaluated without a file between.

One layout of the template for all of them, so its formulas are compiled once; the way through a file and through
LibreOffice is tried by ``test_three_engines``.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TypeVar

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from quotebook.flows.trade_elements import Rows
from quotebook.model import STOCK_LINE, Job, Shop
from quotebook.model.base import Part
from quotebook.model.extras import FORGOTTEN
from quotebook.values import Address, Value
from tests.cross.unfiled import REST, layout, shown
from tests.cutting_strategies import cutting_lines, rapid_known
from tests.made import write_workbook
from tests.strategies import complete_jobs, shops

ROWS = {
    "quantity_breaks": 6, "routing": 12, "cutting": 40, "buyouts": 13, "supplier_prices": 42, "nonrecurring": 4,
    "hand_rates": 4, "work_centers": 4, "materials": 4, **REST,
}  # fmt: skip

T = TypeVar("T", bound=Part)


def dense_jobs(number: int, count: int) -> list[tuple[Shop, Job]]:
    """Draw ``count`` jobs; the same ``number`` draws the same ones. Every job has 24 cutting lines."""
    pairs: list[tuple[Shop, Job]] = []

    @seed(number)
    @settings(max_examples=count, deadline=None, database=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))  # fmt: skip
    @given(st.data())
    def draw(data: st.DataObject) -> None:
        shop = data.draw(shops().filter(lambda row: bool(row.material_groups)))
        job = data.draw(complete_jobs(shop).filter(lambda row: len(row.operations) > 0))
        moves = {row.number: rapid_known(shop, row.work_center) for row in job.operations}
        lines = [
            data.draw(cutting_lines(moves[number], job.job.units, number, data.draw(st.booleans())))
            for number in data.draw(st.lists(st.sampled_from(sorted(moves)), min_size=24, max_size=24))
        ]
        group = data.draw(st.sampled_from([row.name for row in shop.material_groups]))
        stock = job.stock.model_copy(update={"material_group": group})
        job = job.model_copy(update={"cutting": tuple(lines), "stock": stock})
        chance = random.Random(1000 * number + len(pairs))
        pairs.append((shop, left_blank(worded(job, chance), shop, chance)))

    draw()
    return pairs


def worded(job: Job, chance: random.Random) -> Job:
    """Return the job with words by which costs in two places are found; random texts never hold them.

    Drawn apart, so that the jobs stay what they were.
    """

    def said(rows: tuple[T, ...], field: str, words: Sequence[str]) -> tuple[T, ...]:
        return tuple(row.model_copy(update={field: chance.choice(words)}) for row in rows)

    items = chance.sample(FORGOTTEN, len(job.extras))
    return job.model_copy(
        update={
            "extras": tuple(row.model_copy(update={"item": item}) for row, item in zip(job.extras, items, strict=True)),
            "operations": said(job.operations, "description", ["Saw off", "Mill, mask after", "Turn"]),
            "nonrecurring": said(
                job.nonrecurring, "description", ["Plug GAUGE", "first article", "Certificate of test", "Fixture"]
            ),
        }
    )


def left_blank(job: Job, shop: Shop, chance: random.Random) -> Job:
    """Return every second job with stock that follows from the part: two equal sizes or three, its own left blank.

    Some of all have no price of their own, and a material with a usual one.
    """
    priced = [row.name for row in shop.materials if row.usual_price is not None]
    if priced and chance.random() < 0.3:
        others = tuple(row for row in job.supplier_prices if row.line != STOCK_LINE)
        own = {"material": chance.choice(priced), "price": None}
        job = job.model_copy(update={"stock": job.stock.model_copy(update=own), "supplier_prices": others})
    known = [row.form for row in shop.standard_sizes if row.form not in ("hex bar", "flat bar")]
    if chance.random() < 0.5 or not known:
        return job
    scale = 1.0 if job.job.units == "in" else 25.4
    one, other = round(chance.uniform(0.1, 3) * scale, 3), round(chance.uniform(0.1, 3) * scale, 3)
    third = chance.choice([one, other, round(chance.uniform(0.1, 3) * scale, 3)])
    sizes = chance.sample([one, other, third], 3)
    fit = job.fit.model_copy(update=dict(zip(("length", "width", "height"), sizes, strict=True)))
    blank = {name: None for name in ("size_a", "size_b", "piece_length", "bar_length") if chance.random() < 0.8}
    stock = job.stock.model_copy(update={"form": chance.choice(known), "finished_size": None, **blank})
    return job.model_copy(update={"fit": fit, "stock": stock})


def dense_workbooks(number: int, count: int, folder: Path) -> list[Path]:
    """Write the jobs as workbooks."""
    return [
        write_workbook(folder / f"dense-{number}-{index}.xlsx", shop, job, ROWS)
        for index, (shop, job) in enumerate(dense_jobs(number, count))
    ]


PLAN = layout(tuple(ROWS.items()))


def dense_results(number: int, count: int) -> Iterator[tuple[Shop, Job, Rows, dict[Address, Value]]]:
    """Yield each job with the rows that its lists take, and the results of all formulas."""
    for shop, job in dense_jobs(number, count):
        rows = Rows(
            breaks=tuple(range(1, len(job.job.quantities) + 1)),
            operations=tuple(range(len(job.operations))),
            cutting=tuple(range(len(job.cutting))),
            centers=tuple(range(len(shop.work_centers))),
        )
        yield shop, job, rows, shown(PLAN, shop, job)
