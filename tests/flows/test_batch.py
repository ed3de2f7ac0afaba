"""A batch of generated jobs, some damaged in ten ways: every good one read right, every bad one named."""

from __future__ import annotations

from pathlib import Path

import pytest

from quotebook.flows.gather import gather
from tests import loop
from tests.batch import WAYS, make_batch

FILES = 40


def test_every_good_job_is_read_right_and_every_bad_one_is_named(tmp_path: Path) -> None:
    """The same with 500 files is measured by ``python -m tests.bench.gather``."""
    batch = make_batch(tmp_path / "batch", FILES, len(WAYS), rows=loop.FEW)
    found = gather(batch.folder, workers=2)
    records = {Path(record.path).name: record for record in found.records}
    assert len(records) == FILES
    for name, prices in batch.expected.items():
        job = records[name].job
        assert job is not None, records[name].reason
        assert [lot.unit_price for lot in job.lots] == pytest.approx(prices), name
        assert job.agreement == "agree", job.first_difference
    for name, word in batch.damaged.items():
        assert records[name].kind == "failed", name
        assert word in records[name].reason, (name, records[name].reason)
        assert "please report" not in records[name].reason
