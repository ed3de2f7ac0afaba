"""Opening a workbook: one reading, its formulas, its contract, and the job and shop that its inputs describe."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from quotebook.engine.book import FormulaBook
from quotebook.errors import InputError
from quotebook.flows.findings_sheet import without_own_marks
from quotebook.workbook.contract import Contract, read_contract
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.inputs import Inputs, read_inputs
from quotebook.workbook.located import Located, locate
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.row_memory import RowMemory
from quotebook.workbook.snapshot import Snapshot

if TYPE_CHECKING:
    from quotebook.model import Job, Shop


@dataclass(frozen=True, slots=True)
class Opened:
    """A workbook as read. Without a contract everything after ``book`` is None or empty.

    ``problems``: full sentences why the inputs are no valid job or shop profile; ``job`` or ``shop`` is then None.
    """

    snapshot: Snapshot
    book: FormulaBook
    contract: Contract | None = None
    located: Located | None = None
    inputs: Inputs | None = None
    job: Job | None = None
    shop: Shop | None = None
    problems: tuple[str, ...] = ()


def open_workbook(path: Path, memory: RowMemory | None = None) -> Opened:
    """Read a workbook and, where it carries a contract, the job and the shop profile inside it.

    ``memory``: shared by the readings of a batch, which makes them faster.
    Errors: BookError when the file cannot be read; inputs that make no valid job are told in ``problems``.
    """
    return opened_of(read_snapshot(path, memory))


def opened_of(snapshot: Snapshot) -> Opened:
    """Return a workbook that was read already; see ``open_workbook``. Marks of an earlier audit are left out."""
    snapshot = without_own_marks(snapshot)
    book = formula_book(snapshot)
    contract = read_contract(snapshot)
    if contract is None:
        return Opened(snapshot, book)
    located = locate(contract, snapshot)
    inputs = read_inputs(snapshot, located)
    if not _binds_a_job(located):
        return Opened(snapshot, book, contract, located, inputs)
    job, shop, problems = _models(inputs, snapshot.path.name)
    return Opened(snapshot, book, contract, located, inputs, job, shop, problems)


def _binds_a_job(located: Located) -> bool:
    """Tell whether the workbook's template holds a job at all; a request to a supplier does not."""
    return any((one.table_bind or one.field.bind).startswith(("job.", "shop.")) for one in located.fields.values())


def _models(inputs: Inputs, source: str) -> tuple[Job | None, Shop | None, tuple[str, ...]]:
    from quotebook.model import job_from_data, problems_against, shop_from_data

    problems: list[str] = []
    job: Job | None = None
    shop: Shop | None = None
    try:
        shop = shop_from_data(inputs.shop, source)
    except InputError as error:
        problems.extend(error.problems)
    try:
        job = job_from_data(inputs.job, source)
    except InputError as error:
        problems.extend(error.problems)
    if job is not None and shop is not None:
        against = tuple(problems_against(job, shop, source))
        if against:
            problems.extend(against)
            job = None
    return job, shop, tuple(problems)
