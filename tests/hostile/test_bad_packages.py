"""Each bad file ends in one plain refusal of the right kind, with all four parts of a message.

Sources of the cases: the hazards that the design lists, numbered H1 to H6 and H21 in its audit notes, and by hand.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from quotebook.errors import BookError, NotAWorkbook, UnsafeWorkbook
from quotebook.workbook.package import open_package
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Snapshot
from tests.hostile.bad_files import BAD_FILES, Bad, good_bytes
from tests.hostile.bad_packages import BAD_PACKAGES

ALL_BAD = [*BAD_FILES, *BAD_PACKAGES]


def test_there_are_enough_cases_with_names_of_their_own() -> None:
    assert len(ALL_BAD) >= 60
    assert len({bad.name for bad in ALL_BAD}) == len(ALL_BAD)


@pytest.mark.parametrize("bad", ALL_BAD, ids=lambda bad: bad.name)
def test_refused_with_its_reason(bad: Bad, tmp_path: Path) -> None:
    path = tmp_path / bad.file_name
    bad.make(path)
    before = sorted(tmp_path.rglob("*"))
    with pytest.raises(BookError) as refusal:
        read_snapshot(path)
    assert type(refusal.value) is (UnsafeWorkbook if bad.unsafe else NotAWorkbook)
    message = str(refusal.value)
    assert bad.words in message
    assert message.startswith(str(path))
    assert ": found " in message
    assert "; expected " in message
    assert message.count("; ") >= 2
    assert len(message) < 600 + len(str(path))
    assert "\n" not in message
    assert sorted(tmp_path.rglob("*")) == before, "reading wrote something"


def test_the_sound_file_behind_the_cases_is_read(tmp_path: Path) -> None:
    path = tmp_path / "good.xlsx"
    path.write_bytes(good_bytes(tmp_path))
    assert [cell.value for cell in read_snapshot(path).sheets[0].cells.values()] == [1.0, "text", 2.0]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_pipe_is_refused_without_waiting(tmp_path: Path) -> None:
    path = tmp_path / "pipe.xlsx"
    os.mkfifo(path)
    with pytest.raises(NotAWorkbook, match="device or pipe"):
        read_snapshot(path)


def test_name_that_no_system_accepts(tmp_path: Path) -> None:
    for name in ("a\0b.xlsx", "a" * 5000 + ".xlsx"):
        with pytest.raises(NotAWorkbook):
            read_snapshot(tmp_path / name)


@pytest.mark.skipif(not hasattr(os, "seteuid"), reason="no permissions of this kind on this system")
def test_file_without_permission(tmp_path: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:  # pytest's own folders are closed to other users as a whole
        path = Path(folder) / "good.xlsx"
        path.write_bytes(good_bytes(tmp_path))
        Path(folder).chmod(0o755)
        path.chmod(0)
        with _nobody(), pytest.raises(NotAWorkbook, match="cannot be read"):
            read_snapshot(path)
        path.chmod(0o644)
        with _nobody():
            assert read_snapshot(path).sheets


@contextmanager
def _nobody() -> Iterator[None]:
    """Become a user who may not read everything, where the tests run as root."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_file_larger_than_any_workbook_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "large.xlsx"
    with path.open("wb") as stream:
        stream.write(b"PK\x03\x04")
        stream.truncate(300_000_001)  # sparse: takes no room
    with pytest.raises(UnsafeWorkbook, match="300,000,001 bytes"):
        open_package(path)


def test_comments_are_no_doctype(tmp_path: Path) -> None:
    """The word alone must not be refused: only a real declaration counts."""
    from tests.workbook.raw import raw_book

    rows = '<row r="1"><c r="A1" t="inlineStr"><is><t>&lt;!DOCTYPE x></t></is></c></row>'
    snapshot = read_snapshot(raw_book(tmp_path / "book.xlsx", rows))
    assert isinstance(snapshot, Snapshot)
    assert snapshot.sheets[0].cells[(1, 1)].value == "<!DOCTYPE x>"
