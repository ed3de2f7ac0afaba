"""Timings as ratios within one run: ``python -m tests.bench``. Never part of the tests.

Each figure is the median of several runs on this machine, the pairs taken in turn, so that a machine that is busy now
and idle then spoils the absolute figures but hardly the ratios.
"""

from __future__ import annotations

import io
import os
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import xlsxwriter

from quotebook.engine.compile import compile_book
from quotebook.flows.demo import DEMO_JOB, examples_folder
from quotebook.flows.new import make_workbook
from quotebook.flows.recompute import recompute
from quotebook.model import read_job, read_shop, to_data
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.reader import read_snapshot
from tests.libreoffice import recalculate

RUNS = 5


def timed(action: Callable[[], object]) -> float:
    """Return the seconds that an action takes."""
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def in_turn(first: Callable[[], object], second: Callable[[], object], runs: int = RUNS) -> tuple[float, float, float]:
    """Return the medians of both, and the median of the ratios pair by pair."""
    pairs = [(timed(first), timed(second)) for _ in range(runs)]
    ratio = statistics.median(one / other for one, other in pairs)
    return statistics.median(p[0] for p in pairs), statistics.median(p[1] for p in pairs), ratio


def plain_cells(count: int) -> Callable[[], object]:
    """Return an action that writes so many plain cells with XlsxWriter, a quarter of them text."""

    def write() -> None:
        book = xlsxwriter.Workbook(io.BytesIO(), {"in_memory": True})
        sheet = book.add_worksheet()
        for index in range(count):
            row, column = divmod(index, 20)
            if index % 4:
                sheet.write_number(row, column, index * 1.25)
            else:
                sheet.write_string(row, column, f"text {index}")
        book.close()

    return write


def formulas_library(path: Path) -> Callable[[], object]:
    """Return an action that loads and calculates a workbook with the bare library ``formulas``."""

    def run() -> None:
        import formulas

        formulas.ExcelModel().loads(str(path)).finish().calculate()

    return run


def show(what: str, first: float, second: float, ratio: float) -> None:
    """Print one line of the table."""
    print(f"{what:<78} {first:9.3f} s {second:9.3f} s   ratio {ratio:8.3f}")


def main() -> None:
    """Print the table."""
    os.environ.setdefault("TQDM_DISABLE", "1")  # the library shows a progress bar that nobody asked for
    examples = examples_folder()
    shop = to_data(read_shop(examples / "shop.toml"))
    job = to_data(read_job(examples / DEMO_JOB / "job.toml"))
    with tempfile.TemporaryDirectory() as scratch:
        path = Path(scratch) / "demo.xlsx"
        path.write_bytes(make_workbook(shop, job).content)
        snapshot = read_snapshot(path)
        cells = sum(len(sheet.cells) for sheet in snapshot.sheets)
        book = formula_book(snapshot)
        print(f"demo workbook: {len(book.formulas)} formulas, {cells} cells with content or format")
        show("new (warm) : XlsxWriter writing as many plain cells",
             *in_turn(lambda: make_workbook(shop, job), plain_cells(cells)))  # fmt: skip
        compile_book(book)
        show("recompute (formula set known) : one headless LibreOffice conversion",
             *in_turn(lambda: recompute(path), lambda: recalculate([path], Path(scratch) / "out"), 3))  # fmt: skip
        show("recompute (formula set known) : bare formulas, load and calculate",
             *in_turn(lambda: recompute(path), formulas_library(path), 1))  # fmt: skip


if __name__ == "__main__":
    main()
