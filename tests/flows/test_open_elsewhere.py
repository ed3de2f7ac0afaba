"""A workbook that is open in a spreadsheet program is read by every command, and that is said."""

from __future__ import annotations

import datetime
import shutil
from pathlib import Path

import pytest

from quotebook.flows.closeout import close_file
from quotebook.flows.compare import compare_files
from quotebook.flows.demo import examples_folder
from quotebook.flows.locks import OPEN_ELSEWHERE
from quotebook.flows.merge import merge_returns
from quotebook.flows.quote import quote
from quotebook.flows.recompute import recompute
from quotebook.flows.request import request_prices
from quotebook.model import read_job, to_data
from tests import loop


@pytest.fixture(scope="module")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job that is through, so that there is something to close out."""
    job = to_data(read_job(examples_folder() / "jobs" / "pulley-hub.toml"))
    return loop.write(tmp_path_factory.mktemp("pattern") / "job.xlsx", job)


@pytest.mark.parametrize("lock", [".~lock.job.xlsx#", "~$job.xlsx", None])
def test_every_command_reads_it_and_says_so(pattern: Path, tmp_path: Path, lock: str | None) -> None:
    """The names of lock files: LibreOffice and other spreadsheet programs, from memory."""
    job = Path(shutil.copy(pattern, tmp_path / "job.xlsx"))
    if lock is not None:
        (tmp_path / lock).write_bytes(b"x")
    day = datetime.date(2031, 3, 25)
    notes = {
        "recompute": recompute(job).notes,
        "request": request_prices(job, loop.SUPPLIERS, tmp_path / "out", date=day).notes,
        "gather into": merge_returns(job, [], tmp_path / "merged.xlsx", today=day).notes,
        "quote": quote(job, tmp_path / "q.xlsx", anyway=True, today=day, pdf=False).notes,
        "closeout": close_file(job).notes,
        "compare": compare_files(pattern, job).notes,
    }
    said = {name for name, each in notes.items() if any(OPEN_ELSEWHERE in note for note in each)}
    assert said == (set(notes) if lock else set())
