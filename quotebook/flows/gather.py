"""A folder of workbooks read as a batch, over all cores; one bad file never stops the others.

With a book of record only new or changed files are read; an interrupted run leaves what it has finished in the book,
and the next one does the rest.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from pathlib import Path

from quotebook.errors import BookError
from quotebook.flows.gather_book import Book
from quotebook.flows.gather_read import digest_of, read_one
from quotebook.flows.locks import is_open_elsewhere
from quotebook.flows.records import FileRecord
from quotebook.workbook.row_memory import RowMemory

SCHEMA = 1
#: Endings of files that are looked at; other endings are no workbooks and are passed over in silence.
ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xltm", ".xls", ".xlsb", ".ods")
#: Files handed to the workers ahead of time, for each of them; more would only take memory.
AHEAD = 3
#: Records written to the book in one step.
STEP = 16
#: Files between two collections in a worker; reading makes few cycles, and collecting costs a third of its time.
COLLECT_EVERY = 16

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
        for record in _read_all(todo, workers or os.cpu_count() or 1):
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


def _read_all(paths: Sequence[Path], workers: int) -> Iterator[FileRecord]:
    """Yield the record of each file as it is done. A file that kills its worker is named and the rest goes on."""
    left = list(paths)
    if workers <= 1 or len(left) < 4:
        memory = RowMemory()
        for path in left:
            yield read_one(path, memory)
        return
    suspects: list[Path] = []
    while left:
        taken: dict[Future[FileRecord], Path] = {}
        pool = ProcessPoolExecutor(max_workers=min(workers, len(left)), initializer=_start_worker)
        try:
            yield from _through(pool, left, taken, workers * AHEAD)
        except BrokenProcessPool:
            suspects.extend(taken.values())
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    for path in suspects:
        yield _alone(path)


def _through(
    pool: ProcessPoolExecutor, left: list[Path], taken: dict[Future[FileRecord], Path], most: int
) -> Iterator[FileRecord]:
    while left or taken:
        while left and len(taken) < most:
            path = left[0]
            taken[pool.submit(_work, path)] = path
            left.pop(0)
        finished, _ = wait(taken, return_when=FIRST_COMPLETED)
        for future in finished:
            record = future.result()
            del taken[future]
            yield record


def _alone(path: Path) -> FileRecord:
    """Read a file in a process of its own, for it may be the one that killed a worker."""
    with ProcessPoolExecutor(max_workers=1, initializer=_start_worker) as pool:
        try:
            return pool.submit(_work, path).result()
        except BrokenProcessPool:
            reason = f"{path.name}: reading it killed the process that read it; open and save it again, or leave it out"
            return FileRecord(str(path), "", 0, "failed", reason)


#: A worker's own counter and memory.
_done = 0
_MEMORY = RowMemory()


def _start_worker() -> None:
    """Keep the collector out of the way: a reading makes hundreds of thousands of objects and hardly a cycle."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interruption is the parent's to handle
    gc.collect()
    gc.freeze()
    gc.disable()


def _work(path: Path) -> FileRecord:
    global _done
    record = read_one(path, _MEMORY)
    _done += 1
    if _done % COLLECT_EVERY == 0:
        gc.collect()
    return record
