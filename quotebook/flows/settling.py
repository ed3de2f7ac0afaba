"""Which saves in a folder are finished and new: each is given out once, whatever woke us up.

Only what lies in the folder counts: size, moment and content. Events of the system may be lost, doubled or missing,
as on network folders; they are a reason to look, never what is believed.
"""

from __future__ import annotations

import hashlib
import io
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from quotebook.flows.gather import ENDINGS

#: Seconds for which a file must have stayed as it is.
SETTLE = 0.4
#: Seconds after which a file that stays as it is and still is no whole package is given out, to be told as damaged.
PATIENCE = 10.0

Signature = tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class Save:
    """A finished save: the file, its content, and the digest (SHA-256) of that.

    The content is what is judged, for the file may be saved again meanwhile.
    """

    path: Path
    digest: str
    content: bytes = field(repr=False)


@dataclass(slots=True)
class _Seen:
    signature: Signature
    since: float
    done: bool = False


@dataclass(slots=True)
class Saves:
    """What is known of a folder. ``known``: digest of the last save of each file that was judged.

    ``is_own``: tells files of our own, which are never given out. ``clock``: seconds, for tests.
    """

    folder: Path
    known: dict[Path, str] = field(default_factory=dict)
    is_own: Callable[[Path], bool] = lambda path: False
    settle: float = SETTLE
    clock: Callable[[], float] = time.monotonic
    _seen: dict[Path, _Seen] = field(default_factory=dict)

    def look(self) -> Iterator[Save]:
        """Look through the folder and yield the saves that are finished and not yet given out."""
        there = dict(_files(self.folder))
        for path in self._seen.keys() - there.keys():
            del self._seen[path]
        for path, signature in sorted(there.items()):
            seen = self._seen.get(path)
            if seen is None or seen.signature != signature:
                self._seen[path] = _Seen(signature, self.clock())
            elif not seen.done and self.clock() - seen.since >= self.settle:
                if self.is_own(path):
                    seen.done = True
                    continue
                save = self._finished(path, seen)
                if save is not None:
                    yield save

    @property
    def waiting(self) -> bool:
        """Tell whether a file has changed and is not settled yet."""
        return any(not seen.done for seen in self._seen.values())

    def _finished(self, path: Path, seen: _Seen) -> Save | None:
        try:
            content = path.read_bytes()
            if _signature(path) != seen.signature:
                return None  # saved again while it was read: the next look begins anew
        except OSError:
            return None  # locked by the program that writes it, or gone
        if not _is_whole(content) and self.clock() - seen.since < PATIENCE:
            return None
        seen.done = True
        digest = hashlib.sha256(content).hexdigest()
        if self.known.get(path) == digest:
            return None
        self.known[path] = digest
        return Save(path, digest, content)


def is_workbook_name(path: Path) -> bool:
    """Tell whether a file is one to be judged by its name: no lock file, no hidden or temporary one."""
    name = path.name
    temporary = name.startswith(("~$", ".", "~")) or name.lower().endswith((".tmp", ".part", ".crdownload"))
    return path.suffix.lower() in ENDINGS and not temporary


def _files(folder: Path) -> Iterator[tuple[Path, Signature]]:
    for path in folder.rglob("*"):
        if is_workbook_name(path) and not any(part.startswith(".") for part in path.relative_to(folder).parts):
            try:
                if path.is_file():
                    yield path, _signature(path)
            except OSError:
                continue  # gone between listing and looking


def _signature(path: Path) -> Signature:
    stat = path.stat()
    return stat.st_size, stat.st_mtime_ns, stat.st_ino


def _is_whole(content: bytes) -> bool:
    """Tell whether a package opens; old formats, which are no packages, count as whole when they are not empty."""
    if not content.startswith(b"PK"):
        return bool(content)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return bool(archive.namelist())
    except (zipfile.BadZipFile, ValueError, OSError):
        return False
