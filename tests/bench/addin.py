"""From the command in LibreOffice to the marks on the demo workbook, in seconds: ``python -m tests.bench.addin``.

Needs LibreOffice. Split as the shell itself splits it: writing what is on the screen to a file (save), the process of
quotebook with its start (engine), putting list and marks (marking). The audit alone, in a process that runs already,
stands beside it, in wall time and in processor time. The load of the machine is printed, for wall time is worth little
on a busy one.
"""

from __future__ import annotations

import os
import statistics
import tempfile
import time
from pathlib import Path

from quotebook.addin.install import install
from quotebook.flows.audit import audit_file
from quotebook.flows.demo import DEMO_JOB, examples_folder
from quotebook.flows.new import make_workbook, new_file
from quotebook.model import read_job, read_shop, to_data
from tests.addin.conftest import fresh_office, write_engine
from tests.addin.office_session import Session

RUNS = 5


def demo_workbook(target: Path) -> Path:
    """Write the demo's workbook."""
    examples = examples_folder()
    shop = to_data(read_shop(examples / "shop.toml"))
    new_file(target, make_workbook(shop, to_data(read_job(examples / DEMO_JOB / "job.toml"))))
    return target


def main() -> None:
    """Print one line a run, and the medians; the first run, with nothing in the cache yet, is none of them."""
    with tempfile.TemporaryDirectory(prefix="quotebook-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        office = fresh_office(folder)
        install(office, [str(write_engine(folder))])
        assert office.profile is not None
        workbook = demo_workbook(folder / "demo.xlsx")
        session = Session(office.profile, {"PATH": "/usr/bin:/bin"})
        try:
            rows = []
            for run in range(RUNS + 1):
                rows.append(_once(session, workbook))
                _show("again" if run else "first", rows[-1])
        finally:
            session.end()
    _show("median", {part: statistics.median(row[part] for row in rows[1:]) for part in rows[0]})


def _once(session: Session, workbook: Path) -> dict[str, float]:
    number = session.open(path=str(workbook))
    began = time.perf_counter()
    told = session.command(document=number, name="check")
    whole = time.perf_counter() - began
    session.close(document=number)
    assert "finding" in told["boxes"][0]["text"], told["boxes"]
    began, busy = time.perf_counter(), time.process_time()
    audit_file(workbook)
    alone = {"audit alone": time.perf_counter() - began, "its processor": time.process_time() - busy}
    return {**told["seconds"], "all": whole, **alone}


def _show(what: str, row: dict[str, float]) -> None:
    told = "  ".join(f"{part} {seconds:7.3f} s" for part, seconds in row.items())
    print(f"{what:<7} {told}   load {os.getloadavg()[0]:.1f}", flush=True)


if __name__ == "__main__":
    main()
