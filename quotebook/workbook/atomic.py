"""Writing a file so that at every moment there is either the old one, or the whole new one, or none."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path

from quotebook.errors import BookError, TargetExists
from quotebook.workbook.refusals import worded


def refuse_existing(path: Path, force: bool) -> None:
    """Raise TargetExists if something is there and overwriting was not asked for; BookError for a folder."""
    if path.is_dir():
        raise BookError(worded(str(path), "a folder", "the name of a file", "add a file name"))
    if not force and os.path.lexists(path):
        remedy = "choose another name, or overwrite it with --force"
        raise TargetExists(worded(str(path), "a file of this name", "a name not yet used", remedy))


def atomic_bytes(path: str | Path, data: bytes, force: bool = False) -> None:
    """Write ``data`` to ``path`` through a temporary file in the same folder.

    Raises TargetExists when the file exists and ``force`` is not set, BookError when it cannot be written.
    Nothing half-written is left behind.
    """
    path = Path(path)
    try:
        refuse_existing(path, force)
        scratch = path.parent / f".{secrets.token_hex(8)}.part"
        try:
            _write_synced(scratch, data)
            _put_in_place(scratch, path, force)
        finally:
            scratch.unlink(missing_ok=True)
        _sync_folder(path.parent)
    except (OSError, ValueError) as error:
        remedy = "check the folder, its permissions and the free space"
        raise BookError(worded(str(path), f"a place that cannot be written ({error})", "a folder", remedy)) from error


def _write_synced(path: Path, data: bytes) -> None:
    # O_EXCL with mode 666 lets the user's umask decide, as for any other new file.
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _put_in_place(scratch: Path, path: Path, force: bool) -> None:
    """Give the finished file its name; without ``force`` a file that appeared meanwhile is not replaced."""
    if not force:
        try:
            os.link(scratch, path)
        except FileExistsError:
            refuse_existing(path, force)
            raise
        except OSError:
            refuse_existing(path, force)  # a file system without links: the small gap that is left is accepted
        else:
            return
    os.replace(scratch, path)


def _sync_folder(folder: Path) -> None:
    """Make the new name last through a power cut, where the system can do that."""
    with contextlib.suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
