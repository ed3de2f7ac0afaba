"""What several test folders share: one filled and one blank workbook, made once a run; never changed in place."""

from __future__ import annotations

import gc
import os
from pathlib import Path

import pytest

from tests.made import FEW_ROWS, write_workbook
from tests.samples import golden_job, golden_shop, metric_job, metric_shop

# Tests leave no compiled formulas in the user's cache folder, and do not profit from what lies there.
os.environ.setdefault("QUOTEBOOK_CACHE", "off")
# As the commands do: looking for cyclic garbage every 700 objects would cost a third of the time.
gc.set_threshold(200_000, 20, 20)


@pytest.fixture(scope="session")
def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for files that tests only read."""
    return tmp_path_factory.mktemp("shared")


@pytest.fixture(scope="session")
def golden_file(shared_folder: Path) -> Path:
    """The golden job's workbook, with the capacities of the template."""
    return write_workbook(shared_folder / "golden.xlsx", golden_shop(), golden_job())


@pytest.fixture(scope="session")
def metric_file(shared_folder: Path) -> Path:
    """The metric job's workbook with few rows: scrap, cutting lines, buyouts, supplier prices."""
    return write_workbook(shared_folder / "metric.xlsx", metric_shop(), metric_job(), FEW_ROWS)


@pytest.fixture(scope="session")
def blank_file(shared_folder: Path) -> Path:
    """A blank workbook, with the capacities of the template."""
    return write_workbook(shared_folder / "blank.xlsx", None, None)
