"""The book of record: a SQLite file that keeps what was read, by content, so that only new or changed files are read.

The schema is stable and documented in README.md; ``record`` holds everything of a file as in ``--json``, the other
tables the same for queries. A run over unchanged files writes nothing, not even a date.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from quotebook import __version__
from quotebook.errors import BookError
from quotebook.flows.records import BidRecord, FileRecord, JobRecord, LotRecord, PriceRecord, record_from

SCHEMA = 1
_JOB = tuple(one.name for one in fields(JobRecord) if one.name not in ("lots", "prices"))
_LOT = tuple(one.name for one in fields(LotRecord))
_PRICE = tuple(one.name for one in fields(PriceRecord))
_BID = tuple(one.name for one in fields(BidRecord))

_TABLES = f"""
CREATE TABLE IF NOT EXISTS meta (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS file (
  path TEXT PRIMARY KEY, digest TEXT NOT NULL, size INTEGER NOT NULL, kind TEXT NOT NULL, reason TEXT NOT NULL,
  present INTEGER NOT NULL, reader TEXT NOT NULL, record TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS job (path TEXT PRIMARY KEY REFERENCES file ON DELETE CASCADE, {", ".join(_JOB)});
CREATE TABLE IF NOT EXISTS lot (
  path TEXT REFERENCES file ON DELETE CASCADE, {", ".join(_LOT)}, PRIMARY KEY (path, quantity));
CREATE TABLE IF NOT EXISTS price (
  path TEXT REFERENCES file ON DELETE CASCADE, number INTEGER, {", ".join(_PRICE)}, PRIMARY KEY (path, number));
CREATE TABLE IF NOT EXISTS answer (
  path TEXT PRIMARY KEY REFERENCES file ON DELETE CASCADE, supplier, reference, answer_reference, answer_date);
CREATE TABLE IF NOT EXISTS bid (
  path TEXT REFERENCES file ON DELETE CASCADE, number INTEGER, {", ".join(_BID)}, PRIMARY KEY (path, number));
"""


class Book:
    """An open book of record; use it as a context. Errors: BookError for a file that is no such book."""

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            self.base = sqlite3.connect(path)
            self.base.execute("PRAGMA foreign_keys = ON")
            self._prepare()
        except sqlite3.DatabaseError as error:
            raise self._refused(f"a file that is no book of record ({error})") from error

    def _prepare(self) -> None:
        known = {row[0] for row in self.base.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        if known and "meta" not in known:
            raise self._refused("a database of another kind")
        if known:
            row = self.base.execute("SELECT value FROM meta WHERE name = 'schema'").fetchone()
            if row is None or row[0] != str(SCHEMA):
                raise self._refused(f"schema {row[0] if row else 'none'}, which this version does not know")
            return
        with self.base:
            self.base.executescript(_TABLES)
            self.base.execute("INSERT INTO meta VALUES ('schema', ?)", (str(SCHEMA),))

    def _refused(self, found: str) -> BookError:
        return BookError(
            f"{self.path}: found {found}, expected a book of record of schema {SCHEMA}; "
            "give another file name to --book"
        )

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *error: object) -> None:
        self.base.close()

    def digests(self) -> dict[str, str]:
        """Return the digest of each present file that this version of quotebook has read, by path."""
        query = "SELECT path, digest FROM file WHERE present = 1 AND reader = ? AND digest <> ''"
        return dict(self.base.execute(query, (__version__,)))

    def record(self, path: str) -> FileRecord:
        """Return what the book holds of a file. Errors: KeyError when it holds nothing."""
        row = self.base.execute("SELECT record FROM file WHERE path = ?", (path,)).fetchone()
        if row is None:
            raise KeyError(path)
        return record_from(json.loads(row[0]))

    def keep(self, records: Iterable[FileRecord]) -> None:
        """Write records down, in one step each batch: after an interruption a batch is in the book whole or not."""
        with self.base:
            for record in records:
                self._keep(record)

    def _keep(self, record: FileRecord) -> None:
        data = {**record.as_data(), "open_elsewhere": False}
        text = json.dumps(data, sort_keys=True)
        self.base.execute("DELETE FROM file WHERE path = ?", (record.path,))
        self.base.execute(
            "INSERT INTO file VALUES (?, ?, ?, ?, ?, 1, ?, ?)",
            (record.path, record.digest, record.size, record.kind, record.reason, __version__, text),
        )
        if record.job is not None:
            job = record.job
            self._rows("job", [(record.path, *(getattr(job, name) for name in _JOB))])
            lots = {row.quantity: (record.path, *asdict(row).values()) for row in job.lots}
            self._rows("lot", list(lots.values()))
            self._rows("price", [(record.path, n, *asdict(row).values()) for n, row in enumerate(job.prices, 1)])
        if record.answer is not None:
            one = record.answer
            self._rows("answer", [(record.path, one.supplier, one.reference, one.answer_reference, one.answer_date)])
            self._rows("bid", [(record.path, n, *asdict(row).values()) for n, row in enumerate(one.bids, 1)])

    def _rows(self, table: str, rows: Sequence[tuple[Any, ...]]) -> None:
        if rows:
            marks = ", ".join("?" * len(rows[0]))
            self.base.executemany(f"INSERT INTO {table} VALUES ({marks})", rows)

    def mark_absent(self, folder: Path, present: frozenset[str]) -> int:
        """Mark the files under a folder that are there no more; their records stay. Returns how many are new."""
        start = str(folder).rstrip("/\\")
        rows = self.base.execute("SELECT path FROM file WHERE present = 1").fetchall()
        gone = [(path,) for (path,) in rows if Path(path).is_relative_to(start) and path not in present]
        if gone:
            with self.base:
                self.base.executemany("UPDATE file SET present = 0 WHERE path = ?", gone)
        return len(gone)
