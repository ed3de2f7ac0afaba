"""Opening a workbook: one reading, its formulas, its contract, and the job and shop that its inputs describe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from quotebook.engine.book import FormulaBook
from quotebook.errors import InputError
from quotebook.flows.findings_sheet import without_own_marks
from quotebook.workbook.contract import Contract, read_contract
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.inputs import Inputs, read_inputs
from quotebook.workbook.lately import Lately
from quotebook.workbook.located import Located, locate
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.row_memory import RowMemory
from quotebook.workbook.snapshot import Snapshot

if TYPE_CHECKING:
    from quotebook.model import Job, Shop


@dataclass(frozen=True, slots=True)
class Opened:
    """A workbook as read. Without a contract everything after ``book`` is None or empty.

    ``problems``: full sentences why the inputs are no valid job or shop profile, ``job`` or ``shop`` being None then;
    or which date was left out of the job because it is a text.
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


#: Dates of a job that no price depends on.
_DATES = (("job", "quote_date"), ("job", "due_date"), ("lead", "order_date"))


def _without_text_dates(job: Mapping[str, Any], source: str) -> tuple[Mapping[str, Any], list[str]]:
    """Return the job without dates that are texts, which the sheets leave out too, and a sentence for each."""
    told: list[str] = []
    for part, word in _DATES:
        found = job.get(part, {}).get(word)
        if isinstance(found, str):
            told.append(
                f'{source}: {part}, {word}: found "{found}" (text), expected a date; it is left out. Type a date.'
            )
            job = {**job, part: {key: value for key, value in job[part].items() if key != word}}
    return job, told


#: Shop profiles found valid lately, by their data in words: the workbooks of a folder share their shop.
_SHOPS: Lately[str, Shop] = Lately(500_000)


def _models(inputs: Inputs, source: str) -> tuple[Job | None, Shop | None, tuple[str, ...]]:
    from quotebook.model import job_from_data, problems_against, shop_from_data

    problems: list[str] = []
    job: Job | None = None
    shop: Shop | None = None
    try:
        told = repr(inputs.shop)  # it tells 1 from 1.0 and from TRUE, so equal words are equal data
        shop = _SHOPS.get(told)
        if shop is None:
            shop = shop_from_data(inputs.shop, source)
            _SHOPS.keep(told, shop, len(told))
    except InputError as error:
        problems.extend(error.problems)
    job_data, undated = _without_text_dates(inputs.job, source)
    problems.extend(undated)
    try:
        job = job_from_data(job_data, source)
    except InputError as error:
        problems.extend(error.problems)
    if job is not None and shop is not None:
        against = tuple(problems_against(job, shop, source))
        if against:
            problems.extend(against)
            job = None
    return job, shop, tuple(problems)
