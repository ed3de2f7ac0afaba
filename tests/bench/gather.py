"""The batch at 100 and 500 files: ``python -m tests.bench.gather``. Never part of the tests.

Wall time of the whole batch (contract, recompute and reference pricing included) on all cores against one process that
merely loads the same good files with openpyxl; peak memory of the parent and of the largest worker.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.batch import make_batch

_GATHER = """
import json, resource, sys, time
from pathlib import Path
from quotebook.flows.gather import gather
start = time.perf_counter()
found = gather(Path(sys.argv[1]))
seconds = time.perf_counter() - start
own, child = (resource.getrusage(who).ru_maxrss / 1024 for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
prices = {Path(r.path).name: [lot.unit_price for lot in r.job.lots] for r in found.records if r.job}
reasons = {Path(r.path).name: r.reason for r in found.records if r.kind == "failed"}
print(json.dumps({"seconds": seconds, "own": own, "child": child, "prices": prices, "reasons": reasons}))
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


def run(code: str, *words: str, given: str = "") -> str:
    """Run a piece of Python in a process of its own and return what it printed."""
    command = [sys.executable, "-c", code, *words]
    return subprocess.run(command, input=given, capture_output=True, text=True, check=True).stdout


def measure(folder: Path, count: int, loads: int = 100) -> None:
    """Print one line for a batch of ``count`` files, 5 % of them damaged; openpyxl loads at most ``loads`` of them."""
    start = time.perf_counter()
    batch = make_batch(folder / str(count), count, max(10, count // 20))
    made = time.perf_counter() - start
    good = [str(batch.folder / name) for name in list(batch.expected)[:loads]]
    bare = float(run(_LOAD, given=json.dumps(good))) / len(good) * len(batch.expected)
    found = json.loads(run(_GATHER, str(batch.folder)))
    right = sum(
        all(abs(a - b) < 1e-9 for a, b in zip(prices, batch.expected[name], strict=True))
        for name, prices in found["prices"].items()
    )
    named = sum(word in found["reasons"].get(name, "") for name, word in batch.damaged.items())
    print(
        f"{count} files (made in {made:.0f} s): batch {found['seconds']:.1f} s on {os.cpu_count()} cores, "
        f"openpyxl alone {bare:.1f} s ({len(good)} loaded and scaled), ratio {bare / found['seconds']:.2f}; "
        f"peak memory parent {found['own']:.0f} MB, largest worker {found['child']:.0f} MB; "
        f"{right} of {len(batch.expected)} good ones right, {named} of {len(batch.damaged)} bad ones named rightly",
        flush=True,
    )


def main() -> None:
    """Print the lines for 100 and 500 files."""
    with tempfile.TemporaryDirectory(prefix="quotebook-bench-") as scratch:
        for count in map(int, sys.argv[1:] or ("100", "500")):
            measure(Path(scratch), count)


if __name__ == "__main__":
    main()
