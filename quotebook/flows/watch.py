"""A watched folder: each workbook saved there is judged once, and the verdict is put beside it.

Beside ``bracket.xlsx`` stand ``bracket.verdict.html`` and, if wanted, ``bracket.marked.xlsx``. The page names the
content that it judges, so that a restart judges nothing twice. A file of such a name that is not ours is left alone.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Event

from quotebook.errors import BookError
from quotebook.flows.settling import SETTLE, Save, Saves
from quotebook.workbook.atomic import atomic_bytes
from quotebook.workbook.refusals import worded

PAGE_ENDING = ".verdict.html"
#: Stands before the ending of the workbook's own name.
MARKED = ".marked"
_TOLD = re.compile(r"<!-- quotebook watch: judged ([0-9a-f]{64}), marked ([0-9a-f]{64}|none) -->")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came of one save. ``page``: one page as HTML; ``marked``: bytes of the marked copy, None for none.

    ``line``: one sentence. ``found``: whether something was found or could not be judged; ``error``: not read at all.
    """

    line: str
    page: str
    found: bool
    error: bool = False
    marked: bytes | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """A save that was judged, and the files written beside it. ``trouble``: why one was not written."""

    save: Save
    verdict: Verdict
    written: tuple[Path, ...]
    trouble: str = ""


#: Judges a save; it is given the file's name and must read the content only from the save.
Judge = Callable[[Save], Verdict]


def page_of(workbook: Path) -> Path:
    """Return where the verdict of a workbook goes; the ending stays in the name, for two may differ in it alone."""
    name = workbook.stem if workbook.suffix.lower() == ".xlsx" else workbook.name
    return workbook.with_name(name + PAGE_ENDING)


def marked_of(workbook: Path) -> Path:
    """Return where the marked copy of a workbook goes."""
    return workbook.with_name(f"{workbook.stem}{MARKED}{workbook.suffix}")


def told_in(page: Path) -> tuple[str, str] | None:
    """Return the digests of workbook and marked copy ("none") that a page of ours tells; None for another's page."""
    try:
        found = _TOLD.search(page.read_text(encoding="utf-8", errors="replace"))
    except OSError:
        return None
    return (found[1], found[2]) if found else None


def is_marked_copy(path: Path) -> bool:
    """Tell whether a file is a marked copy exactly as we wrote it; changed by somebody, it is theirs to be judged."""
    if not path.stem.endswith(MARKED):
        return False
    told = told_in(page_of(path.with_name(path.stem.removesuffix(MARKED) + path.suffix)))
    if told is None:
        return False
    with suppress(OSError):
        return hashlib.sha256(path.read_bytes()).hexdigest() == told[1]
    return False


class Watched:
    """One folder under watch. Errors: BookError when it is no folder."""

    def __init__(self, folder: Path, judge: Judge, *, settle: float = SETTLE) -> None:
        if not folder.is_dir():
            raise BookError(worded(str(folder), "no folder of this name", "a folder with workbooks", "check the path"))
        self.folder, self._judge = folder, judge
        self.saves = Saves(folder, is_own=is_marked_copy, settle=settle)
        for page in folder.rglob(f"*{PAGE_ENDING}"):
            told = told_in(page)
            base = page.name.removesuffix(PAGE_ENDING)
            if told is not None:
                for name in (base, f"{base}.xlsx"):
                    self.saves.known[page.with_name(name)] = told[0]

    def look(self) -> Iterator[Judged]:
        """Judge what is finished and new."""
        for save in self.saves.look():
            yield self._judged(save)

    def settled(self, pause: Callable[[float], object]) -> Iterator[Judged]:
        """Judge what lies there until nothing is waiting. ``pause``: called with seconds between two looks."""
        yield from self.look()
        while self.saves.waiting:
            pause(self.saves.settle / 2)
            yield from self.look()

    def run(self, stop: Event, *, every: float, poll: bool) -> Iterator[Judged]:
        """Judge until ``stop`` is set. ``every``: seconds between two looks without any event; ``poll``: no events."""
        while not stop.is_set():
            yield from self.look()
            if self.saves.waiting:
                stop.wait(self.saves.settle / 2)
            else:
                _wait(self.folder, stop, every, poll)

    def _judged(self, save: Save) -> Judged:
        try:
            verdict = self._judge(save)
        except Exception as error:  # one workbook must not end the watch; it is told on the page and on the terminal
            told = f"not judged: {type(error).__name__}: {error}"
            page = f"<!doctype html>\n<meta charset='utf-8'><title>Not judged</title><p>{_escaped(told)}</p>\n"
            verdict = Verdict(told, page, True, True)
        return self._written(save, verdict)

    def _written(self, save: Save, verdict: Verdict) -> Judged:
        page, copy = page_of(save.path), marked_of(save.path)
        trouble: list[str] = []
        wanted: list[tuple[Path, bytes]] = []
        is_ours, marked = is_marked_copy(copy), verdict.marked
        if marked is not None and copy.exists() and not is_ours:
            trouble.append(f"{copy.name} is not ours, so it was left alone and no marked copy was written")
            marked = None
        if page.exists() and told_in(page) is None:
            trouble.append(f"{page.name} is not ours, so it was left alone and no verdict was written")
            return Judged(save, verdict, (), "; ".join(trouble))
        digest = "none" if marked is None else hashlib.sha256(marked).hexdigest()
        text = f"{verdict.page.rstrip()}\n<!-- quotebook watch: judged {save.digest}, marked {digest} -->\n"
        wanted.append((page, text.encode("utf-8")))  # first: from then on the copy is known as ours
        if marked is not None:
            wanted.append((copy, marked))
        elif is_ours:
            copy.unlink(missing_ok=True)  # it tells of an earlier save
        return Judged(save, verdict, tuple(_put(wanted, trouble)), "; ".join(trouble))


def _put(wanted: list[tuple[Path, bytes]], trouble: list[str]) -> Iterator[Path]:
    """Write files and yield those written; why one could not be is added to ``trouble``."""
    for target, content in wanted:
        try:
            atomic_bytes(target, content, force=True)
            yield target
        except BookError as error:
            trouble.append(str(error))


def _wait(folder: Path, stop: Event, every: float, poll: bool) -> None:
    """Return when something happens in the folder, or after some seconds."""
    if poll:
        stop.wait(every)
        return
    from watchfiles import watch

    try:
        milliseconds = max(int(every * 1000), 50)
        waiting = watch(
            folder, stop_event=stop, rust_timeout=milliseconds, yield_on_timeout=True, debounce=200, step=50,
            raise_interrupt=True, watch_filter=None,
        )  # fmt: skip
        next(waiting, None)
        waiting.close()
    except (OSError, RuntimeError):
        stop.wait(every)  # the system cannot watch this folder; looking by ourselves is enough


def _escaped(text: str) -> str:
    from html import escape

    return escape(text)
