"""The batch as CSV files, safe to open in a spreadsheet program.

A text that a spreadsheet program would take for a formula gets an apostrophe before it, as the OWASP page on CSV
injection advises: those that begin with = + - @, a tab or a line end. Numbers are written as numbers.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import fields
from pathlib import Path

from quotebook.flows.gather import Gathered
from quotebook.flows.records import BidRecord, JobRecord, LotRecord, PriceRecord
from quotebook.workbook.atomic import atomic_bytes

_RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")
_JOB = tuple(one.name for one in fields(JobRecord) if one.name not in ("lots", "prices"))
_LOT = tuple(one.name for one in fields(LotRecord))
_PRICE = tuple(one.name for one in fields(PriceRecord))
_BID = tuple(one.name for one in fields(BidRecord))


def safe(value: object) -> object:
    """Return a value as it may stand in a CSV cell."""
    if isinstance(value, str) and value.lstrip(" ").startswith(_RISKY):
        return "'" + value
    return "" if value is None else value


def csv_files(gathered: Gathered) -> dict[str, str]:
    """Return name and text of each file: jobs (one row a quantity), prices, bids, files."""
    jobs: list[list[object]] = []
    prices: list[list[object]] = []
    bids: list[list[object]] = []
    files: list[list[object]] = []
    for record in gathered.records:
        told = [record.path, record.kind, record.reason, "; ".join(record.notes), record.open_elsewhere]
        files.append([*told, record.digest])
        if record.job is not None:
            head = [record.path, *(getattr(record.job, name) for name in _JOB)]
            jobs.extend([*head, *(getattr(lot, name) for name in _LOT)] for lot in record.job.lots)
            if not record.job.lots:
                jobs.append([*head, *[None] * len(_LOT)])
            prices.extend([record.path, *(getattr(row, name) for name in _PRICE)] for row in record.job.prices)
        if record.answer is not None:
            one = record.answer
            bids.extend([record.path, one.supplier, *(getattr(row, name) for name in _BID)] for row in one.bids)
    return {
        "jobs.csv": _text(("path", *_JOB, *_LOT), jobs),
        "prices.csv": _text(("path", *_PRICE), prices),
        "bids.csv": _text(("path", "supplier", *_BID), bids),
        "files.csv": _text(("path", "kind", "reason", "notes", "open_elsewhere", "digest"), files),
    }


def write_csv(gathered: Gathered, folder: Path, *, force: bool = False) -> list[Path]:
    """Write the CSV files into a folder. Errors: TargetExists unless ``force``."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, text in csv_files(gathered).items():
        atomic_bytes(folder / name, text.encode("utf-8-sig"), force)
        written.append(folder / name)
    return written


def _text(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer)
    writer.writerow(head)
    writer.writerows([safe(value) for value in row] for row in rows)
    return buffer.getvalue()
