"""One thing done with each of many files, over all cores. A file that kills its process is named and the rest goes on.

What files of one batch share, the compiled formulas and the rows read before, is kept in each worker.
"""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import TypeVar

from quotebook.workbook.row_memory import RowMemory

#: Fewer files are done in this process: starting another takes longer.
FEWEST = 4
#: Files handed to the workers ahead of time, for each of them; more would only take memory.
AHEAD = 3
#: Objects made and not given back between two looks for cycles in a worker: some tens of megabytes. Reading a file
#: makes hundreds of thousands of objects and hardly a cycle, and looking as often as usual costs a third of its time.
MOST_NEW_OBJECTS = 500_000

#: What is said of a file that ``killed`` is asked about.
KILLED = "reading it killed the process that read it; open and save it again, or leave it out"

T = TypeVar("T")
Work = Callable[[Path, RowMemory], T]


def each_file(
    work: Work[T], killed: Callable[[Path], T], paths: Sequence[Path], workers: int | None = None
) -> Iterator[T]:
    """Yield what ``work`` gives for each file as it is done, in any order.

    ``work``: a function of a module, that raises nothing. ``killed``: the answer for a file whose process died.
    ``workers``: processes, as many as cores by default; 1 does everything here.
    """
    left = list(paths)
    workers = workers or os.cpu_count() or 1
    if workers <= 1 or len(left) < FEWEST:
        memory = RowMemory()
        for path in left:
            yield work(path, memory)
        return
    suspects: list[Path] = []
    while left:
        taken: dict[Future[T], Path] = {}
        pool = ProcessPoolExecutor(max_workers=min(workers, len(left)), initializer=_start_worker)
        try:
            yield from _through(pool, work, left, taken, workers * AHEAD)
        except BrokenProcessPool:
            suspects.extend(taken.values())
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    for path in suspects:
        yield _alone(work, killed, path)


def _through(
    pool: ProcessPoolExecutor, work: Work[T], left: list[Path], taken: dict[Future[T], Path], most: int
) -> Iterator[T]:
    while left or taken:
        while left and len(taken) < most:
            path = left[0]
            taken[pool.submit(_done, work, path)] = path
            left.pop(0)
        finished, _ = wait(taken, return_when=FIRST_COMPLETED)
        for future in finished:
            answer = future.result()
            del taken[future]
            yield answer


def _alone(work: Work[T], killed: Callable[[Path], T], path: Path) -> T:
    """Take a file in a process of its own, for it may be the one that killed a worker."""
    with ProcessPoolExecutor(max_workers=1, initializer=_start_worker) as pool:
        try:
            return pool.submit(_done, work, path).result()
        except BrokenProcessPool:
            return killed(path)


#: A worker's own memory.
_MEMORY = RowMemory()


def _start_worker() -> None:
    """Keep the collector of cycles out of the way, and interruptions with the parent, who handles them."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.collect()
    gc.freeze()
    gc.set_threshold(MOST_NEW_OBJECTS)


def _done(work: Work[T], path: Path) -> T:
    return work(path, _MEMORY)
