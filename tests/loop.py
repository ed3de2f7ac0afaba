"""Jobs, suppliers and filled-in requests for the tests of the loop. Everything is invented."""

from __future__ import annotations

import copy
import datetime
from functools import cache
from pathlib import Path
from typing import Any

from quotebook.flows.demo import examples_folder
from quotebook.flows.demo_answers import answer_request, cells_of_answer
from quotebook.flows.new import make_workbook
from quotebook.flows.opening import open_workbook
from quotebook.flows.request import Requests, request_prices
from quotebook.flows.returns import Returned, read_return
from quotebook.model import read_job, read_shop, to_data
from quotebook.model.suppliers import Supplier, SupplierList

#: Room for the example jobs, their answers, and hardly more.
FEW = {"routing": 12, "cutting": 12, "buyouts": 6, "supplier_prices": 24, "nonrecurring": 8, "materials": 20}
DAY = datetime.date(2031, 3, 10)
LARCH, QUARRY, EVERY = "Larch Metals (invented)", "Quarry Finishing (invented)", "Everything Supply (invented)"
SUPPLIERS = SupplierList(
    answer_by=datetime.date(2031, 3, 20),
    suppliers=(
        Supplier(name=LARCH, serves=("stock",)),
        Supplier(name=QUARRY, serves=("outside processing",)),
        Supplier(name=EVERY),
    ),
)


@cache
def _shop() -> dict[str, Any]:
    return to_data(read_shop(examples_folder() / "shop.toml"))


@cache
def _job(name: str) -> dict[str, Any]:
    return to_data(read_job(examples_folder() / "jobs" / f"{name}.toml"))


def shop_data() -> dict[str, Any]:
    """The example shop's profile, to be changed freely."""
    return copy.deepcopy(_shop())


def job_data(name: str = "bearing-cap") -> dict[str, Any]:
    """An example job, to be changed freely."""
    return copy.deepcopy(_job(name))


def write(
    path: Path, job: dict[str, Any], shop: dict[str, Any] | None = None, rows: dict[str, int] | None = None
) -> Path:
    """Write a job workbook. ``rows``: other capacities; the template's own take five times as long."""
    path.write_bytes(make_workbook(shop or shop_data(), job, rows=rows or FEW).content)
    return path


def ask(job: Path, folder: Path, suppliers: SupplierList = SUPPLIERS) -> Requests:
    """Write the requests of a job."""
    return request_prices(job, suppliers, folder, date=DAY)


def answered(request: Path, target: Path, prices: list[dict[str, Any]], **head: Any) -> Path:
    """Write a request as a supplier sends it back."""
    told = {"date": datetime.date(2031, 3, 15), "currency": "USD", "valid_until": datetime.date(2031, 6, 30), **head}
    answer_request(request, target, {**told, "price": prices})
    return target


def returned(path: Path) -> Returned:
    """Read a returned request."""
    return read_return(open_workbook(path))


def cells(request: Path, answer: dict[str, Any]) -> dict[Any, Any]:
    """Return the cells that an answer fills."""
    return cells_of_answer(open_workbook(request), answer)
