"""The demo's walk through the whole loop: a dozen jobs, requests, answers, prices, quotation, close-out, comparison."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from quotebook.errors import QuotebookError
from quotebook.flows.closeout import close_folder
from quotebook.flows.closeout_report import closeout_workbook
from quotebook.flows.compare import compare_files
from quotebook.flows.demo_answers import answer_request, read_answers
from quotebook.flows.gather import gather, workbooks_under
from quotebook.flows.gather_summary import summary_workbook
from quotebook.flows.merge import merge_returns
from quotebook.flows.new import make_workbook, new_file
from quotebook.flows.opening import open_workbook
from quotebook.flows.quote import quote
from quotebook.flows.recompute import recompute
from quotebook.flows.request import request_prices
from quotebook.flows.returns import read_return
from quotebook.flows.workers import each_file
from quotebook.model import name_key, read_job, read_shop, to_data
from quotebook.model.suppliers import read_suppliers
from quotebook.workbook.atomic import atomic_bytes
from quotebook.workbook.row_memory import RowMemory

#: The job that is asked for, and the day on which the demo plays.
ASKED = "bearing-cap"
DAY = datetime.date(2031, 3, 25)

Say = Callable[[str], None]


def walk_the_loop(folder: Path, examples: Path, say: Say, *, force: bool = False) -> None:
    """Write the demo's files into a folder and say, step by step, what was done.

    Errors: TargetExists when a file is there already and ``force`` is not given.
    """
    jobs = _make_jobs(folder / "jobs", examples, say, force)
    job = jobs / f"{ASKED}.xlsx"
    returns = _ask(job, folder, examples, say, force)
    priced = _bring_in(job, returns, folder, say, force)
    _gather(folder, say, force)
    made = quote(priced, folder / f"{ASKED} quotation.xlsx", today=DAY, force=force)
    for refusal in made.refusals:
        say(f"  refused: {refusal.sentence}")
    say(f"Customer copy: {', '.join(path.name for path in made.files) or 'none'}. {' '.join(made.notes)}".rstrip())
    _close_out(jobs, folder, say, force)
    compared = compare_files(job, priced)
    say(f"Compared {job.name} with {priced.name}: {len(compared.changes)} changes, all on the Supplier prices sheet.")


def _make_jobs(jobs: Path, examples: Path, say: Say, force: bool) -> Path:
    jobs.mkdir(parents=True, exist_ok=True)
    shop = to_data(read_shop(examples / "shop.toml"))
    sources = sorted((examples / "jobs").glob("*.toml"))
    # One is made here, so that its formulas lie compiled in the cache before several processes ask for them.
    first, *others = sources
    make = partial(_make_job, folder=jobs, shop=shop, force=force)
    for wrong in filter(None, (make(first), *each_file(make, _not_made, others))):
        raise wrong
    say(f"Made {len(sources)} job workbooks in {jobs}.")
    return jobs


def _make_job(
    source: Path, memory: RowMemory | None = None, *, folder: Path, shop: Mapping[str, Any], force: bool
) -> QuotebookError | None:
    """Make a job's workbook; an error is an answer, for it comes out of another process."""
    try:
        new_file(folder / f"{source.stem}.xlsx", make_workbook(shop, to_data(read_job(source))), force=force)
    except QuotebookError as error:
        return error
    return None


def _not_made(source: Path) -> QuotebookError:
    return QuotebookError(f"{source}: the process that made its workbook was killed; run the demo again")


def _ask(job: Path, folder: Path, examples: Path, say: Say, force: bool) -> Path:
    suppliers = read_suppliers(examples / "suppliers.toml")
    made = request_prices(job, suppliers, folder / "requests", date=DAY - datetime.timedelta(days=15), force=force)
    say(f"Asked {len(made.requests)} suppliers for {ASKED}: a workbook each in {folder / 'requests'}.")
    answers, returns = read_answers(examples / "answers.toml"), folder / "returns"
    returns.mkdir(exist_ok=True)
    for one in made.requests:
        note = answer_request(one.file, returns / one.file.name, answers[name_key(one.supplier)])
        say(f"  {one.supplier} answered{f' ({note})' if note else ''}.")
    return returns


def _bring_in(job: Path, returns: Path, folder: Path, say: Say, force: bool) -> Path:
    returned = [read_return(open_workbook(path)) for path in workbooks_under(returns)]
    priced = folder / f"{ASKED} priced.xlsx"
    merged = merge_returns(job, returned, priced, today=DAY, force=force)
    chosen = [offer for offer in merged.offers if offer.chosen]
    say(f"Brought {len(merged.offers)} prices into {priced.name}; {len(chosen)} are chosen, each with its reason.")
    for offer in merged.offers:
        if offer.state not in ("chosen", "dearer"):
            say(f"  {offer.returned.supplier}, {offer.line}, {offer.bid.quantity}: {offer.why}")
    for note in merged.notes:
        say(f"  {note}")
    before, after = recompute(job), recompute(priced)
    for old, new in zip(before.prices, after.prices, strict=True):
        was = "incomplete" if old.unit_price is None else f"{old.unit_price:,.2f}"
        now = "incomplete" if new.unit_price is None else f"{new.unit_price:,.2f}"
        say(f"  lot of {new.quantity:g}: unit price {was} before, {now} after")
    return priced


def _gather(folder: Path, say: Say, force: bool) -> None:
    summary, book = folder / "summary.xlsx", folder / "quotes.sqlite"
    gathered = gather(folder, book=book, leave_out=[summary, folder / "closeout.xlsx"])
    atomic_bytes(summary, summary_workbook(gathered, DAY), force)
    again = gather(folder, book=book, leave_out=[summary, folder / "closeout.xlsx"])
    say(
        f"Gathered {len(gathered.records)} workbooks into {summary.name} and {book.name}; "
        f"a second run read {again.read} of them again."
    )


def _close_out(jobs: Path, folder: Path, say: Say, force: bool) -> None:
    closed = close_folder(workbooks_under(jobs))
    atomic_bytes(folder / "closeout.xlsx", closeout_workbook(closed), force)
    done = [one for one in closed.jobs if one.closeout is not None and not one.closeout.missing]
    say(f"Closed out {len(done)} jobs in closeout.xlsx:")
    for one in done:
        assert one.closeout is not None
        margins = f"margin {one.closeout.margin or 0:.1%}, quoted {one.closeout.quoted_margin or 0:.1%}"
        say(f"  {one.part}: {one.closeout.verdict}; {margins}")
    for ratio in closed.overall:
        say(f"  {ratio.group} hours took {ratio.mean:.2f} times the estimate over {ratio.jobs} jobs: {ratio.told}")
