"""A folder of workbooks read as a batch, over all cores; one bad file never stops the others.

With a book of record only new or changed files are read; an interrupted run leaves what it has finished in the book,
and the next one does the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from quotebook.errors import BookError
from quotebook.flows.gather_book import Book
from quotebook.flows.gather_read import digest_of, read_one
from quotebook.flows.locks import is_open_elsewhere
from quotebook.flows.records import FileRecord
from quotebook.flows.workers import KILLED, each_file

SCHEMA = 1
#: Endings of files that are looked at; other endings are no workbooks and are passed over in silence.
ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm", ".xls", ".xlsb", ".ods")
#: Records written to the book in one step.
STEP = 16

Progress = Callable[[int, int, str], None]


@dataclass(slots=True)
class Gathered:
    """The batch. ``records``: by path; ``read``: how many files were read now, the others come from the book."""

    folder: str
    records: list[FileRecord] = field(default_factory=list)
    read: int = 0
    gone: int = 0

    def of_kind(self, kind: str) -> list[FileRecord]:
        """Return the records of one kind."""
        return [record for record in self.records if record.kind == kind]


def gather(
    folder: Path,
    *,
    book: Path | None = None,
    workers: int | None = None,
    leave_out: Sequence[Path] = (),
    progress: Progress | None = None,
) -> Gathered:
    """Read every workbook under a folder.

    ``workers``: processes, as many as cores by default; 1 reads in this process. ``leave_out``: files to pass over.
    ``progress``: called with files done, files in all, and the name of the one just done.
    Errors: BookError when the folder cannot be listed or ``book`` is no book of record.
    """
    paths = workbooks_under(folder, leave_out)
    if book is None:
        return _gathered(folder, paths, None, workers, progress)
    with Book(book) as kept:
        return _gathered(folder, paths, kept, workers, progress)


def workbooks_under(folder: Path, leave_out: Sequence[Path] = ()) -> list[Path]:
    """Return the workbooks under a folder in order of name, without lock files and half-written ones."""
    if not folder.is_dir():
        raise BookError(f"{folder}: found no folder of this name, expected one with workbooks; check the path")
    omitted = {path.resolve() for path in leave_out}
    found = []
    for path in folder.resolve().rglob("*"):
        hidden = path.name.startswith(("~$", "."))
        if path.suffix.lower() in ENDINGS and not hidden and path.is_file() and path not in omitted:
            found.append(path)
    return sorted(found)


def _gathered(
    folder: Path, paths: list[Path], book: Book | None, workers: int | None, progress: Progress | None
) -> Gathered:
    out = Gathered(str(folder))
    known = book.digests() if book is not None else {}
    todo = [path for path in paths if not _unchanged(path, known)]
    done = len(paths) - len(todo)
    waiting: list[FileRecord] = []
    fresh: dict[str, FileRecord] = {}
    try:
        for record in each_file(read_one, _killed, todo, workers):
            fresh[record.path] = record
            waiting.append(record)
            done += 1
            if book is not None and len(waiting) >= STEP:
                book.keep(waiting)
                waiting = []
            if progress is not None:
                progress(done, len(paths), Path(record.path).name)
    finally:
        if book is not None and waiting:
            book.keep(waiting)
    for path in paths:
        name = str(path)
        if name in fresh:
            record = fresh[name]
        else:
            assert book is not None
            record = book.record(name)
        record.open_elsewhere = is_open_elsewhere(path)
        out.records.append(record)
    out.read = len(fresh)
    if book is not None:
        out.gone = book.mark_absent(folder.resolve(), frozenset(str(path) for path in paths))
    return out


def _unchanged(path: Path, known: dict[str, str]) -> bool:
    digest = known.get(str(path))
    if digest is None:
        return False
    try:
        return digest_of(path)[0] == digest
    except OSError:
        return False


def _killed(path: Path) -> FileRecord:
    return FileRecord(str(path), "", 0, "failed", f"{path.name}: {KILLED}")
