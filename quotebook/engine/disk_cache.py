"""Compiled plans kept on disk in the user's cache folder, so that a command need not compile a known set of formulas.

What is written is JSON text with the digest of its content; nothing is ever unpickled. A folder or file that belongs
to somebody else, or that others may write, is not read. Anything wrong with a file means that it is not there:
the cache can make quotebook faster, and nothing else. ``QUOTEBOOK_CACHE=off`` switches it off, another value names
the folder.
"""

from __future__ import annotations

import os
import stat
import sys
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from quotebook.engine.plan import Plan

#: All files together, and one file alone; in bytes.
MOST_BYTES = 64_000_000
LARGEST_FILE = 16_000_000
_PLAN, _ALIAS, _FACT = ".plan", ".same", ".fact"


def is_on() -> bool:
    """Tell whether there is a folder to keep plans in."""
    return _folder() is not None


def load(key: str) -> Plan | None:
    """Return the plan kept under a key, or None."""
    folder = _folder()
    if folder is None:
        return None
    alias = _read(folder / f"{_file_key(key)}{_ALIAS}")
    if alias is not None and not alias.isalnum():
        return None
    return load_path(folder / f"{alias or _file_key(key)}{_PLAN}")


def load_path(path: Path) -> Plan | None:
    """Return the plan in a file, or None for anything that is not a plan of ours."""
    from quotebook.engine.stored import from_text

    with suppress(ValueError, KeyError, TypeError, IndexError, RecursionError):
        text = _read(path)
        if text is not None:
            return from_text(text)
    return None


def store(key: str, plan: Plan) -> None:
    """Keep a plan under a key; older files give way when the folder grows too large."""
    folder = _folder()
    if folder is None:
        return
    from quotebook.engine.stored import to_text

    text = to_text(plan)
    if len(text) <= LARGEST_FILE:
        _write(folder / f"{_file_key(key)}{_PLAN}", text)
        _shrink(folder)


def also(key: str, kept: str) -> None:
    """Let a second key lead to a plan that is kept under another one."""
    folder = _folder()
    if folder is not None:
        _write(folder / f"{_file_key(key)}{_ALIAS}", _file_key(kept))


def remember(key: str) -> None:
    """Keep the fact that a key stands for; only facts that follow from what the key was made of may be kept."""
    folder = _folder()
    if folder is not None:
        _write(folder / f"{_file_key(key)}{_FACT}", key)


def remembered(key: str) -> bool:
    """Tell whether the fact of a key was kept."""
    folder = _folder()
    return folder is not None and _read(folder / f"{_file_key(key)}{_FACT}") == key


def _folder() -> Path | None:
    """Return the folder, made if need be, or None where there is none that only this user can write."""
    named = os.environ.get("QUOTEBOOK_CACHE", "")
    if named == "off":
        return None
    if named:
        folder = Path(named)
    else:
        from platformdirs import user_cache_path

        folder = user_cache_path("quotebook") / "formulas"
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        return folder if _ours(folder.lstat(), directory=True) else None
    except OSError:
        return None


def _ours(found: os.stat_result, directory: bool = False) -> bool:
    """Tell whether a file or folder is of the right kind, belongs to this user, and nobody else may write it."""
    kind = stat.S_ISDIR if directory else stat.S_ISREG
    if not kind(found.st_mode):
        return False
    return not hasattr(os, "getuid") or (found.st_uid == os.getuid() and not found.st_mode & 0o022)


@lru_cache(maxsize=1)
def _engine_digest() -> str:
    """Return a digest that changes with the engine's own files."""
    here = Path(__file__).parent
    found = (path for folder in (here, here / "functions") for path in folder.iterdir() if path.suffix == ".py")
    return source_digest(sorted(found))


def source_digest(files: Sequence[Path]) -> str:
    """Return a digest that changes with some of our own files, with quotebook's version and with Python's."""
    from quotebook import __version__

    parts = [__version__, sys.version]
    for path in files:
        found = path.stat()
        parts.append(f"{path.name} {found.st_size} {found.st_mtime_ns}")
    return sha256("\n".join(parts).encode()).hexdigest()


def _file_key(key: str) -> str:
    return sha256(f"{key} {_engine_digest()}".encode()).hexdigest()[:40]


def _read(path: Path) -> str | None:
    """Return the content of a file whose digest is right, or None."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0)
    try:
        handle = os.open(path, flags)
    except OSError:
        return None
    with os.fdopen(handle, "rb") as file:
        found = os.fstat(file.fileno())
        if not _ours(found) or found.st_size > LARGEST_FILE * 2:
            return None
        digest, _, body = file.read().partition(b"\n")
    if sha256(body).hexdigest().encode() != digest:
        return None
    with suppress(OSError):
        os.utime(path)  # the latest used go last when room is made
    return body.decode("ascii", "replace")


def _write(path: Path, text: str) -> None:
    """Write a file in one step: other processes see the old one, the new one, or none."""
    body = text.encode("ascii")
    with suppress(OSError):
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")  # readable for this user only
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(sha256(body).hexdigest().encode() + b"\n" + body)
            os.replace(name, path)
        except OSError:
            with suppress(OSError):
                os.unlink(name)


def _shrink(folder: Path) -> None:
    """Remove the files that were not used for longest, until what is left fits."""
    found = []
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            with suppress(OSError):
                status = entry.stat(follow_symlinks=False)
                found.append((status.st_mtime_ns, status.st_size, entry.path))
    total = sum(size for _, size, _ in found)
    for _, size, path in sorted(found):
        if total <= MOST_BYTES:
            return
        with suppress(OSError):
            os.unlink(path)
        total -= size
