"""The batch at 100 and 500 files: ``python -m tests.bench.gather [100 500]``. Never part of the tests.

Wall time of the whole batch (contract, recompute, comparison and reference pricing included) on all cores against one
process that merely loads the same good files with openpyxl, and against LibreOffice: one that is running already and
opens each file, recalculates it and reads all values, and one call that converts them all. Cold: nothing in the
cache on disk; warm: run again. Processor time of parent and workers, which tells when other work took the wall time;
peak memory of the parent and of the largest worker.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.batch import Batch, make_batch
from tests.libreoffice import recalculate
from tests.office_bridge import drive_all

#: Files that openpyxl loads and that LibreOffice is given; the time of the others is scaled from them.
LOADED, OPENED = 100, 20
#: As users have it: modules compiled to byte code once, not at each start.
_ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}

_GATHER = """
import json, resource, sys, time
from pathlib import Path
from quotebook.flows.gather import gather
start = time.perf_counter()
found = gather(Path(sys.argv[1]))
seconds = time.perf_counter() - start
used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
own, child = (one.ru_maxrss / 1024 for one in used)
processor = sum(one.ru_utime + one.ru_stime for one in used)
prices = {Path(r.path).name: [lot.unit_price for lot in r.job.lots] for r in found.records if r.job}
reasons = {Path(r.path).name: r.reason for r in found.records if r.kind == "failed"}
figures = {"seconds": seconds, "processor": processor, "own": own, "child": child}
print(json.dumps({**figures, "prices": prices, "reasons": reasons}))
"""

_LOAD = """
import json, sys, time
from pathlib import Path
import openpyxl
paths = json.loads(sys.stdin.read())
start = time.perf_counter()
for path in paths:
    openpyxl.load_workbook(path)
print(time.perf_counter() - start)
"""


def run(code: str, *words: str, given: str = "", cache: Path | None = None) -> str:
    """Run a piece of Python in a process of its own and return what it printed."""
    command = [sys.executable, "-c", code, *words]
    environment = {**_ENVIRONMENT, "QUOTEBOOK_CACHE": str(cache or "off")}
    done = subprocess.run(command, input=given, capture_output=True, text=True, check=True, env=environment)
    return done.stdout


def timed(action: Callable[[], object]) -> float:
    """Return the seconds that an action takes."""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def office_seconds(files: list[Path], folder: Path) -> tuple[float, float]:
    """Return the seconds a file of a LibreOffice that is running already, and of one call that converts all of them."""
    read = [{"do": "recalculate"}, {"do": "read everything"}]
    one = timed(lambda: drive_all([(files[0], read, None)]))
    every = timed(lambda: drive_all([(path, read, None) for path in files]))
    converted = timed(lambda: recalculate(files, folder))
    return (every - one) / (len(files) - 1), converted / len(files)


def say(name: str, found: dict[str, Any], batch: Batch, bare: float) -> float:
    """Print the line of one batch and return its seconds."""
    right = sum(
        all(abs(a - b) < 1e-9 for a, b in zip(prices, batch.expected[name], strict=True))
        for name, prices in found["prices"].items()
    )
    named = sum(word in found["reasons"].get(name, "") for name, word in batch.damaged.items())
    seconds: float = found["seconds"]
    print(
        f"  {name}: {seconds:.1f} s on {os.cpu_count()} cores, {found['processor']:.1f} s of processor time; openpyxl "
        f"alone {bare:.1f} s: ratio {bare / seconds:.2f} (wanted 3); peak memory parent {found['own']:.0f} MB, "
        f"largest worker {found['child']:.0f} MB; {right} of {len(batch.expected)} good ones right, {named} of "
        f"{len(batch.damaged)} bad ones named rightly",
        flush=True,
    )
    return seconds


def measure(folder: Path, count: int) -> None:
    """Print the lines for a batch of ``count`` files, 5 % of them damaged."""
    batch = make_batch(folder / str(count), count, max(10, count // 20))
    good = [batch.folder / name for name in list(batch.expected)]
    loaded = json.dumps([str(path) for path in good[:LOADED]])
    timed_on = min(LOADED, len(good))
    scale = len(good) / timed_on
    print(f"{count} files, {len(batch.damaged)} of them damaged, openpyxl timed on {timed_on}", flush=True)
    seconds = 0.0
    for name in ("cold", "warm", "warm again"):
        bare = float(run(_LOAD, given=loaded)) * scale
        found = json.loads(run(_GATHER, str(batch.folder), cache=folder / f"cache {count}"))
        seconds = say(name, found, batch, bare)
    if shutil.which("soffice"):
        running, converting = office_seconds(good[:OPENED], folder / f"office {count}")
        rate = len(good) / seconds
        print(
            f"  LibreOffice, {OPENED} of the files: {running:.3f} s a file while running (opens, recalculates, reads), "
            f"{converting:.3f} s in one converting call: ratios {running * rate:.1f} and {converting * rate:.1f} "
            "(wanted 20)",
            flush=True,
        )


def main() -> None:
    """Print the lines for 100 and 500 files."""
    with tempfile.TemporaryDirectory(prefix="quotebook-bench-") as scratch:
        for count in map(int, sys.argv[1:] or ("100", "500")):
            measure(Path(scratch), count)


if __name__ == "__main__":
    main()
