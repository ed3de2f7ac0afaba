"""Random jobs with many rows in every list, the same ones in every run: few workbooks, many cases."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from quotebook.model import Job, Shop
from tests.cutting_strategies import cutting_lines, rapid_known
from tests.made import write_workbook
from tests.strategies import complete_jobs, shops

ROWS = {
    "quantity_breaks": 6, "routing": 12, "cutting": 40, "buyouts": 13, "supplier_prices": 42, "nonrecurring": 4,
    "hand_rates": 4, "work_centers": 4, "materials": 4, "sampling": 5, "material_groups": 2, "speeds": 28,
    "work_holdings": 3, "standard_sizes": 12, "special_processes": 3, "asked_processes": 2, "extras": 4, "holidays": 5,
}  # fmt: skip


def dense_workbooks(number: int, count: int, folder: Path) -> list[Path]:
    """Write ``count`` workbooks; the same ``number`` draws the same jobs. Every operation has cutting lines."""
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
        pairs.append((shop, job.model_copy(update={"cutting": tuple(lines), "stock": stock})))

    draw()
    paths = []
    for index, (shop, job) in enumerate(pairs):
        paths.append(write_workbook(folder / f"dense-{number}-{index}.xlsx", shop, job, ROWS))
    return paths
