"""Random jobs, the same ones in every run, as workbooks or without a file, and where their figures stand."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from quotebook.flows.elements import Key, reference_values
from quotebook.model import Job, Shop
from quotebook.pricing import JobPrice, fit_check, price_job
from quotebook.template.plan import Plan
from quotebook.values import Value
from tests.cross.unfiled import REST, layout
from tests.made import write_workbook
from tests.strategies import complete_jobs, jobs, shops

#: Two sets of capacities instead of one for each job: every set means a layout and a compilation of its own.
_SMALL = {
    "quantity_breaks": 6, "routing": 6, "cutting": 8, "buyouts": 6, "supplier_prices": 10, "nonrecurring": 4,
    "hand_rates": 4, "work_centers": 4, "materials": 4, **REST,
}  # fmt: skip
_LARGE = {**_SMALL, "routing": 12, "cutting": 36, "buyouts": 13, "supplier_prices": 42}


@dataclass(frozen=True)
class Drawn:
    """A job, written as a workbook or (``path`` is None) not."""

    shop: Shop
    job: Job
    path: Path | None

    @property
    def file(self) -> Path:
        """The workbook."""
        assert self.path is not None
        return self.path

    @property
    def plan(self) -> Plan:
        """The layout of its workbook."""
        return layout(tuple(_capacities(self.job).items()))

    def reference(self) -> tuple[JobPrice, dict[Key, Value]]:
        """Return the reference price, and what it says for each field, lot and row of the workbook."""
        price = price_job(self.job, self.shop)
        breaks = tuple(range(1, len(self.job.job.quantities) + 1))
        rows = tuple(range(len(self.job.operations)))
        return price, dict(reference_values(price, fit_check(self.job, self.shop), breaks, rows))


def draw_jobs(number: int, count: int, folder: Path, complete: bool, one_file_in: int = 1) -> list[Drawn]:
    """Draw ``count`` random jobs and write one in ``one_file_in`` as a workbook; a ``number`` draws the same jobs.

    ``complete``: jobs that lack nothing; else jobs that may lack whatever a half-filled job lacks.
    """
    pairs: list[tuple[Shop, Job]] = []

    @seed(number)
    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.data())
    def draw(data: st.DataObject) -> None:
        shop = data.draw(shops())
        pairs.append((shop, data.draw(complete_jobs(shop) if complete else jobs(shop))))

    draw()
    drawn = []
    for index, (shop, job) in enumerate(pairs):
        path = None
        if index % one_file_in == 0:
            path = write_workbook(folder / f"job-{number}-{index}.xlsx", shop, job, _capacities(job))
        drawn.append(Drawn(shop, job, path))
    return drawn


def _capacities(job: Job) -> dict[str, int]:
    needs = {
        "routing": len(job.operations),
        "cutting": len(job.cutting),
        "buyouts": len(job.buyouts),
        "supplier_prices": len(job.supplier_prices),
    }
    return _SMALL if all(rows <= _SMALL[name] for name, rows in needs.items()) else _LARGE
