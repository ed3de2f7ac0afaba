"""The batch as one workbook: jobs, supplier lines side by side, files that failed, and a page of pictures."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

from quotebook.flows.gather import Gathered
from quotebook.flows.gather_lines import LineRow, supplier_lines
from quotebook.flows.locks import OPEN_ELSEWHERE
from quotebook.flows.records import FileRecord, JobRecord
from quotebook.workbook.file_kinds import SUMMARY_MARK
from quotebook.workbook.tables import Column, Entry, Page, Picture, tables_workbook

#: Suppliers that get a column of their own; more would not be read across.
MOST_SUPPLIERS = 24
#: Bars in a picture; a hundred of them say nothing.
MOST_BARS = 40

_JOBS = (
    Column("File", width=34), Column("Customer", width=26), Column("Part", width=16), Column("Name", width=22),
    Column("Rev", width=6), Column("Quotation", width=12), Column("Date", "date", 11), Column("Status", width=16),
    Column("Fit", width=12), Column("Quantity", "count", 9), Column("Currency", width=9),
    Column("Unit price", "number"), Column("Extended", "money"), Column("Nonrecurring", "money"),
    Column("Our cost", "money"),
    Column("Margin", "share", 9), Column("Setup h", "hours", 9), Column("Machine h", "hours", 9),
    Column("Attended h", "hours", 10), Column("Inspection h", "hours", 10), Column("Nonrecurring h", "hours", 12),
    Column("Three engines", width=17), Column("First difference", width=30), Column("Last saved by", width=18),
    Column("Saved with", width=16), Column("Remarks", width=40),
)  # fmt: skip


def summary_workbook(gathered: Gathered, today: datetime.date) -> bytes:
    """Return the summary workbook of a batch."""
    lines = supplier_lines(gathered.records, today)
    jobs = [(record, record.job) for record in gathered.records if record.job is not None]
    pages = [
        _jobs_page(gathered, jobs), _lines_page(lines), _failed_page(gathered), _pictures_page(),
        _job_figures(jobs), _supplier_figures(lines),
    ]  # fmt: skip
    return tables_workbook(pages, "Summary of a folder of workbooks", {SUMMARY_MARK: "1"})


def short_name(gathered_folder: str, path: str) -> str:
    """Return a file's name as seen from the folder."""
    try:
        return Path(path).relative_to(Path(gathered_folder).resolve()).as_posix()
    except ValueError:
        return Path(path).name


def remarks_of(record: FileRecord) -> str:
    """Return what is to be said about a file besides its figures."""
    notes = list(record.notes)
    if record.open_elsewhere:
        notes.insert(0, OPEN_ELSEWHERE)
    return "; ".join(notes)


def _jobs_page(gathered: Gathered, jobs: Sequence[tuple[FileRecord, JobRecord]]) -> Page:
    rows: list[tuple[Entry, ...]] = []
    for record, job in jobs:
        head: tuple[Entry, ...] = (
            short_name(gathered.folder, record.path), job.customer, job.part_number, job.part_name, job.revision,
            job.quote_number, _day(job.quote_date), job.status, job.decision,
        )  # fmt: skip
        tail: tuple[Entry, ...] = (
            job.nonrecurring_hours, _agreement(job), job.first_difference, job.saved_by, job.application,
            remarks_of(record),
        )  # fmt: skip
        if not job.lots:
            rows.append((*head, None, job.currency, *[None] * 9, *tail))
        for lot in job.lots:
            middle: tuple[Entry, ...] = (
                lot.quantity, job.currency, lot.unit_price, lot.extended_price, lot.nonrecurring, lot.cost, lot.margin,
                lot.setup_hours, lot.machine_hours, lot.attended_hours, lot.inspection_hours,
            )  # fmt: skip
            rows.append((*head, *middle, *tail))
    counts = {kind: len(gathered.of_kind(kind)) for kind in ("job", "supplier answer", "foreign", "failed")}
    told = (
        f"{len(gathered.records)} files: {counts['job']} jobs, {counts['supplier answer']} requests to suppliers, "
        f"{counts['foreign']} other workbooks, {counts['failed']} that could not be read.",
        "Figures are recomputed from each file's own formulas; a blank is unknown, never zero.",
    )
    return Page("Jobs", "Jobs", told, _JOBS, tuple(rows))


def _agreement(job: JobRecord) -> str:
    if job.agreement == "disagree":
        return f"disagree in {job.disagreements}"
    return "agree" if job.agreement == "agree" else f"not judged in {job.unknown}"


def _lines_page(lines: Sequence[LineRow]) -> Page:
    names = sorted({supplier for row in lines for supplier in row.offers}, key=str.casefold)
    shown = names[:MOST_SUPPLIERS]
    columns = [
        Column("Part", width=16), Column("Rev", width=6), Column("Line", width=28), Column("Quantity", "count", 9),
        Column("Currency", width=9), Column("Best price", "number"), Column("Best supplier", width=24),
        Column("Missing", width=22), Column("No bid", width=18), Column("Expired", width=22),
        Column("Not usable", width=22), *(Column(name, "number", 18) for name in shown),
    ]  # fmt: skip
    rows: list[tuple[Entry, ...]] = []
    for row in lines:
        best = row.best()
        offers = [row.offers[name].shown() if name in row.offers else None for name in shown]
        states = (row.told("missing"), row.told("no bid"), row.told("expired"))
        unusable = ", ".join(filter(None, (row.told("not usable"), row.told("other currency"))))
        told: tuple[Entry, ...] = (best[1] if best else None, best[0] if best else "none")
        place: tuple[Entry, ...] = (row.part, row.revision, row.line, row.quantity, row.currency)
        rows.append((*place, *told, *states, unusable, *offers))
    sentences = ["Prices are per unit as the job reckons (bar, kg, piece, pack). The best counts lot minimums."]
    if len(names) > len(shown):
        sentences.append(f"{len(names) - len(shown)} more suppliers have no column of their own here; see --json.")
    return Page("Supplier lines", "Supplier lines side by side", tuple(sentences), tuple(columns), tuple(rows))


def _failed_page(gathered: Gathered) -> Page:
    rows: list[tuple[Entry, ...]] = [
        (short_name(gathered.folder, record.path), "could not be read", record.reason)
        for record in gathered.of_kind("failed")
    ]
    rows += [
        (short_name(gathered.folder, record.path), "another workbook", record.reason)
        for record in gathered.of_kind("foreign")
    ]
    columns = (Column("File", width=40), Column("What", width=20), Column("Why", width=110))
    return Page("Not read", "Files that failed, and other workbooks", (), columns, tuple(rows))


def _pictures_page() -> Page:
    jobs, suppliers = "Job figures", "Supplier figures"
    pictures = (
        Picture("Margin by job, at its largest quantity", 0, (1,), "margin of price", "job", page=jobs, percent=True),
        Picture("Quoted margin against actual margin", 0, (2, 3), "margin", "job", page=jobs, percent=True),
        Picture("Price by supplier, against the best", 0, (1,), "times the best price", "supplier", page=suppliers),
    )
    told = ("Drawn from the sheets Job figures and Supplier figures.",)
    return Page("Pictures", "Pictures", told, (), (), pictures, orientation="portrait")


def _job_figures(jobs: Sequence[tuple[FileRecord, JobRecord]]) -> Page:
    columns = (
        Column("Job", width=24), Column("Margin", "share"), Column("Margin in the estimate", "share"),
        Column("Margin in fact", "share"),
    )  # fmt: skip
    rows: list[tuple[Entry, ...]] = []
    for _, job in jobs[:MOST_BARS]:
        margin = next((lot.margin for lot in reversed(job.lots) if lot.margin is not None), None)
        closed = job.actual_margin is not None
        rows.append((job.part_number or "?", margin, job.estimated_margin if closed else None, job.actual_margin))
    more = f"The first {MOST_BARS} of {len(jobs)} jobs." if len(jobs) > MOST_BARS else f"{len(jobs)} jobs."
    return Page("Job figures", "Figures of the pictures by job", (more,), columns, tuple(rows))


def _supplier_figures(lines: Sequence[LineRow]) -> Page:
    ratios: dict[str, list[float]] = {}
    for row in lines:
        best = row.best()
        for supplier, one in row.offers.items():
            if best is not None and best[1] > 0 and one.price is not None and not one.state:
                ratios.setdefault(supplier, []).append(one.price / best[1])
    rows: list[tuple[Entry, ...]] = []
    for name, values in sorted(ratios.items())[:MOST_BARS]:
        rows.append((name, sum(values) / len(values), len(values)))
    columns = (Column("Supplier", width=28), Column("Mean over best price", "ratio", 16), Column("Prices", "count"))
    told = ("1.000 is always the best price; only prices that count are in the mean.",)
    return Page("Supplier figures", "Figures of the pictures by supplier", told, columns, tuple(rows))


def _day(text: str | None) -> datetime.date | None:
    return None if text is None else datetime.date.fromisoformat(text)
