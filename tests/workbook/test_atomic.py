"""Writing a file whole or not at all. Source: the promise of ``atomic_bytes``."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from quotebook.errors import BookError, TargetExists
from quotebook.workbook.atomic import atomic_bytes


def test_written_whole_and_nothing_left_behind(tmp_path: Path) -> None:
    atomic_bytes(tmp_path / "a.bin", b"data")
    assert (tmp_path / "a.bin").read_bytes() == b"data"
    assert [path.name for path in tmp_path.iterdir()] == ["a.bin"]


def test_existing_file_needs_force(tmp_path: Path) -> None:
    path = tmp_path / "a.bin"
    atomic_bytes(path, b"one")
    with pytest.raises(TargetExists, match=r"a\.bin: found .*; expected .*; choose"):
        atomic_bytes(path, b"two")
    assert path.read_bytes() == b"one"
    atomic_bytes(path, b"two", force=True)
    assert path.read_bytes() == b"two"
    assert [path.name for path in tmp_path.iterdir()] == ["a.bin"]


@pytest.mark.parametrize("force", [False, True])
def test_failure_while_writing_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, force: bool
) -> None:
    path = tmp_path / "a.bin"
    if force:
        path.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BookError, match="No space left"):
        atomic_bytes(path, b"new", force=force)
    assert [(path.name, path.read_bytes()) for path in tmp_path.iterdir()] == ([("a.bin", b"old")] if force else [])


def test_file_that_appears_meanwhile_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.bin"
    real = os.fsync

    def slow(descriptor: int) -> None:
        path.write_bytes(b"somebody else")
        real(descriptor)

    monkeypatch.setattr(os, "fsync", slow)
    with pytest.raises(TargetExists):
        atomic_bytes(path, b"mine")
    assert path.read_bytes() == b"somebody else"
    assert [path.name for path in tmp_path.iterdir()] == ["a.bin"]


def test_file_system_without_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(os, "link", none)
    atomic_bytes(tmp_path / "a.bin", b"one")
    with pytest.raises(TargetExists):
        atomic_bytes(tmp_path / "a.bin", b"two")
    assert (tmp_path / "a.bin").read_bytes() == b"one"


@pytest.mark.parametrize("name", ["missing/a.bin", ".", "a\0b"])
def test_places_that_cannot_be_written(tmp_path: Path, name: str) -> None:
    with pytest.raises(BookError):
        atomic_bytes(tmp_path / name, b"data", force=True)


def test_dangling_link_counts_as_existing(tmp_path: Path) -> None:
    (tmp_path / "a.bin").symlink_to(tmp_path / "nowhere")
    with pytest.raises(TargetExists):
        atomic_bytes(tmp_path / "a.bin", b"data")


def test_new_file_obeys_the_usual_permissions(tmp_path: Path) -> None:
    atomic_bytes(tmp_path / "a.bin", b"data")
    (tmp_path / "b.bin").write_bytes(b"data")
    assert (tmp_path / "a.bin").stat().st_mode == (tmp_path / "b.bin").stat().st_mode
