"""The engine's timings as ratios in one run: ``python -m tests.bench.engine [--few]``. Never part of the tests.

Times are processor seconds, of this process or of the processes that it starts, so that a busy machine spoils them
less than the clock; pairs are taken in turn. Each line says what is cold (nothing compiled, nothing in the cache on
disk) and what is warm. ``--few`` leaves out the slow witnesses. A batch is measured by ``tests.bench.gather``.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import openpyxl

from quotebook.engine.agreement import compare
from quotebook.engine.compile import _PROGRAMS, compile_book, compile_new
from quotebook.engine.many.run import run_cases
from quotebook.flows.demo import DEMO_JOB, examples_folder
from quotebook.flows.new import make_workbook
from quotebook.flows.opening import open_workbook
from quotebook.flows.recompute import recompute
from quotebook.model import read_job, read_shop, to_data
from quotebook.values import Address
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.promise_memory import _SOUND
from quotebook.workbook.reader import read_snapshot

#: As users have it: modules compiled to byte code once, not at each start.
_ENVIRONMENT = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def spent(action: Callable[[], object]) -> float:
    """Return the processor seconds of an action in this process."""
    start = time.process_time()
    action()
    return time.process_time() - start


def spent_by_children(action: Callable[[], object]) -> float:
    """Return the processor seconds of the processes that an action starts and waits for."""

    def total() -> float:
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        return used.ru_utime + used.ru_stime

    start = total()
    action()
    return total() - start


def ratio(measure: Callable[[Callable[[], object]], float], ours: Callable[[], object], theirs: Callable[[], object],
          runs: int) -> tuple[float, float, float]:  # fmt: skip
    """Return the medians of both and of their ratios, taken in turn."""
    pairs = [(measure(ours), measure(theirs)) for _ in range(runs)]
    middle = statistics.median
    return middle(p[0] for p in pairs), middle(p[1] for p in pairs), middle(one / other for one, other in pairs)


def say(what: str, ours: float, theirs: float, figure: float, wanted: str) -> None:
    """Print one line."""
    print(f"{what:<88} {ours:9.4f} s {theirs:9.4f} s  {figure:7.2f} (wanted {wanted})", flush=True)


def judged(path: Path) -> None:
    """Read, recompute and compare one workbook, as a batch does with each file."""
    snapshot = read_snapshot(path)
    book = formula_book(snapshot)
    results = compile_book(book).run(book.inputs).results
    for address, result in results.items():
        cell = snapshot.cell(address)
        compare("" if cell is None or cell.value is None else cell.value, "" if result.value is None else result.value)


def command(path: Path, cache: Path) -> Callable[[], object]:
    """Return the command from the shell to its answer."""
    words = [sys.executable, "-m", "quotebook", "recompute", str(path)]
    environment = {**_ENVIRONMENT, "QUOTEBOOK_CACHE": str(cache)}
    return lambda: subprocess.run(words, check=True, capture_output=True, env=environment)


def one_workbook(path: Path, folder: Path) -> None:
    """Print the lines about a single file."""
    bare = [sys.executable, "-c", f"import openpyxl; openpyxl.load_workbook({str(path)!r})"]
    recompute(path)
    say("recompute, warm, in the process : openpyxl load_workbook",
        *ratio(spent, lambda: recompute(path), lambda: openpyxl.load_workbook(path), 5), "at most 1.5")  # fmt: skip
    warm = command(path, folder / "cache")
    warm()
    load = lambda: subprocess.run(bare, check=True)  # noqa: E731 - one expression, used twice
    say("recompute from the shell, set of formulas in the cache on disk : python -c openpyxl load",
        *ratio(spent_by_children, warm, load, 5), "under 1.5")  # fmt: skip
    cold = iter(range(100))
    say("recompute from the shell, cold (empty cache) : python -c openpyxl load",
        *ratio(spent_by_children, lambda: command(path, folder / f"cold{next(cold)}")(), load, 2),
        "not promised")  # fmt: skip
    book = formula_book(read_snapshot(path))
    print(f"  {len(book.formulas)} formulas; compile {spent(lambda: compile_new(book)):.3f} s, "
          f"run {spent(lambda: compile_book(book).run(book.inputs)):.4f} s")  # fmt: skip


#: The library is timed from after its imports, so that only loading and calculating count.
_FORMULAS = """
import sys, time
import formulas
start = time.process_time()
formulas.ExcelModel().loads(sys.argv[1]).finish().calculate()
print(time.process_time() - start)
"""


def against_formulas(path: Path) -> None:
    """Print how much longer the bare library formulas takes to load and calculate the same file."""
    command = [sys.executable, "-c", _FORMULAS, str(path)]
    done = subprocess.run(command, check=True, timeout=900, capture_output=True, text=True)
    theirs = float(done.stdout.split()[-1])
    os.environ["QUOTEBOOK_CACHE"] = "off"
    _PROGRAMS.clear()
    _SOUND.clear()
    cold = spent(lambda: recompute(path))
    warm = statistics.median(spent(lambda: recompute(path)) for _ in range(5))
    say("formulas, load and calculate : recompute, warm (formula set known in this process)",
        theirs, warm, theirs / warm, "at least 50")  # fmt: skip
    say("formulas, load and calculate : recompute, cold (nothing compiled, no cache on disk)",
        theirs, cold, theirs / cold, "not promised")  # fmt: skip


def many_cases(path: Path) -> None:
    """Print formula cells a second, how time grows, and the memory of a run."""
    opened = open_workbook(path)
    program = compile_book(opened.book)
    assert opened.located is not None

    def cells(name: str) -> list[Address]:
        assert opened.located is not None
        placed = opened.located.fields[name]
        rows, columns = range(placed.rows), range(placed.columns)
        return [Address(placed.sheet, placed.row + r, placed.column + c) for r in rows for c in columns]

    cycles = [cell for cell in cells("cycle_minutes") if isinstance(opened.book.inputs.get(cell), float)]
    draw = np.random.default_rng(1)
    wanted = cells("lot_cost") + cells("unit_price") + cells("extended_price") + cells("lot_margin")
    times = {}
    for count in (1_000, 10_000, 100_000):
        varied = {cell: draw.uniform(3.0, 3.9, count) for cell in cycles[:1]} | {
            cell: draw.uniform(2.1, 3.9, count) for cell in cycles[1:]
        }
        run_cases(program, opened.book.inputs, varied, wanted)  # warm
        runs = [spent(lambda v=varied: run_cases(program, opened.book.inputs, v, wanted)) for _ in range(3)]  # type: ignore[misc]
        times[count] = statistics.median(runs)
        found = run_cases(program, opened.book.inputs, varied, wanted)
        whole, cone = found.formulas * count / times[count], found.varying * count / times[count]
        print(f"{count:>7} cases: {times[count]:.3f} s; {whole / 1e6:.1f} million formula cells a second of the whole "
              f"book, {cone / 1e6:.1f} million of the {found.varying} that vary (wanted 5)", flush=True)  # fmt: skip
    print(f"  time for 100 times the cases: {times[100_000] / times[1_000]:.1f} times; "
          f"10 times from 10,000: {times[100_000] / times[10_000]:.1f}")  # fmt: skip
    for count in (10_000, 100_000):
        varied = {cell: draw.uniform(3.0, 3.9, count) for cell in cycles}
        tracemalloc.start()
        run_cases(program, opened.book.inputs, varied, wanted)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        kept = count * 8 * len(wanted)
        print(f"  memory at {count} cases: peak {peak / 1e6:.1f} MB, of which the answers are {kept / 1e6:.1f} MB")


def main() -> None:
    """Make the demo workbook and print every line."""
    few = "--few" in sys.argv
    examples = examples_folder()
    shop, job = read_shop(examples / "shop.toml"), read_job(examples / DEMO_JOB / "job.toml")
    with tempfile.TemporaryDirectory(prefix="quotebook-bench-") as name:
        folder = Path(name)
        os.environ["QUOTEBOOK_CACHE"] = str(folder / "cache")
        path = folder / "demo.xlsx"
        path.write_bytes(make_workbook(to_data(shop), to_data(job)).content)
        many_cases(path)
        one_workbook(path, folder)
        if not few:
            against_formulas(path)


if __name__ == "__main__":
    main()
