"""The watched folder: every finished save is judged once, whatever way it was written, and nothing is written over.

What must hold is the issue's own list; the ways of saving are those of spreadsheet programs (common practice, seen
with LibreOffice and openpyxl): into the file, in pieces, or beside it and renamed; lock and temporary files about.
"""

from __future__ import annotations

import hashlib
import io
import os
import threading
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from quotebook.cli.main import app
from quotebook.errors import BookError
from quotebook.flows.settling import PATIENCE, Save, Saves
from quotebook.flows.watch import Judged, Verdict, Watched, marked_of, page_of


def content(text: str) -> bytes:
    """A small workbook as openpyxl saves it."""
    book, buffer = openpyxl.Workbook(), io.BytesIO()
    book.active["A1"] = text
    book.save(buffer)
    return buffer.getvalue()


def cheap(save: Save) -> Verdict:
    """A judge that reads no workbook; what it says names the content."""
    return Verdict("fine", f"<p>{save.digest}</p>", False)


class Running:
    """A watch in a thread of its own; ``judged`` grows."""

    def __init__(self, folder: Path, judge: Callable[[Save], Verdict] = cheap, *, poll: bool = False) -> None:
        self.judged: list[Judged] = []
        self._stop = threading.Event()
        watched = Watched(folder, judge, settle=0.15)
        self._thread = threading.Thread(target=self._run, args=(watched, poll), daemon=True)
        self._thread.start()

    def _run(self, watched: Watched, poll: bool) -> None:
        for one in watched.run(self._stop, every=0.2 if poll else 1.0, poll=poll):
            self.judged.append(one)

    def wait_for(self, count: int, seconds: float = 20) -> None:
        end = time.monotonic() + seconds
        while len(self.judged) < count and time.monotonic() < end:
            time.sleep(0.02)

    def end(self) -> list[Judged]:
        self._stop.set()
        self._thread.join(timeout=60)
        assert not self._thread.is_alive(), "the watch did not end"
        return self.judged


def write_into(path: Path, data: bytes) -> None:
    path.write_bytes(data)


def write_in_pieces(path: Path, data: bytes) -> None:
    with path.open("wb") as stream:
        for start in range(0, len(data), 2000):
            stream.write(data[start : start + 2000])
            stream.flush()
            time.sleep(0.004)


def write_beside(path: Path, data: bytes) -> None:
    (path.parent / f"lu{os.getpid()}.tmp").write_bytes(data)
    os.replace(path.parent / f"lu{os.getpid()}.tmp", path)


@pytest.mark.parametrize("poll", [False, True], ids=["with events", "by looking alone"])
def test_200_saves_in_a_row_none_missed_none_judged_twice(tmp_path: Path, poll: bool) -> None:
    """Twenty files saved in turn, ten times each; what is saved lies there for half a second before the next save."""
    running = Running(tmp_path, poll=poll)
    ways = (write_into, write_in_pieces, write_beside)
    saved: Counter[tuple[str, str]] = Counter()
    for number in range(200):
        began = time.monotonic()
        path, data = tmp_path / f"job {number % 20}.xlsx", content(f"save {number}")
        lock = tmp_path / f".~lock.{path.name}#"
        lock.write_text("somebody", encoding="utf-8")
        (tmp_path / f"~${path.name}").write_bytes(b"somebody")
        ways[number % 3](path, data)
        saved[path.name, hashlib.sha256(data).hexdigest()] += 1
        if number % 7 == 0:
            os.utime(tmp_path / f"job {number // 2 % 20}.xlsx") if number > 40 else None  # touched, not changed
        lock.unlink()
        time.sleep(max(0.0, 0.035 - (time.monotonic() - began)))
    running.wait_for(200)
    time.sleep(0.5)  # what is judged twice would come now
    judged = Counter((one.save.path.name, one.save.digest) for one in running.end())
    assert sum(saved.values()) == len(saved) == 200
    assert judged == saved


def test_a_half_written_save_waits_until_it_is_whole(tmp_path: Path) -> None:
    running, path, data = Running(tmp_path), tmp_path / "job.xlsx", content("whole")
    path.write_bytes(data[: len(data) // 2])
    time.sleep(0.8)
    assert running.judged == []
    path.write_bytes(data)
    running.wait_for(1)
    assert [one.save.content for one in running.end()] == [data]


def test_a_file_that_stays_cut_short_is_told_in_the_end(tmp_path: Path) -> None:
    now = [0.0]
    saves, path = Saves(tmp_path, clock=lambda: now[0]), tmp_path / "job.xlsx"
    path.write_bytes(content("cut")[:500])
    assert list(saves.look()) == []
    now[0] = PATIENCE / 2
    assert list(saves.look()) == []
    assert saves.waiting
    now[0] = PATIENCE + 1
    assert [save.path for save in saves.look()] == [path]
    now[0] *= 2
    assert list(saves.look()) == []


def test_names_of_temporary_lock_and_other_files_are_passed_over(tmp_path: Path) -> None:
    for name in (
        "~$job.xlsx",
        ".~lock.job.xlsx#",
        ".hidden.xlsx",
        "~WRL0001.xlsx",
        "job.xlsx.tmp",
        "job.txt",
        "lu1.tmp",
    ):
        (tmp_path / name).write_bytes(content(name))
    (tmp_path / ".trash").mkdir()
    (tmp_path / ".trash" / "job.xlsx").write_bytes(content("thrown away"))
    assert judged_now(tmp_path) == []


def judged_now(folder: Path, judge: Callable[[Save], Verdict] = cheap) -> list[Judged]:
    """What one look judges, after waiting until all is settled."""
    return list(Watched(folder, judge, settle=0.05).settled(time.sleep))


def test_a_restart_judges_nothing_twice_and_a_new_save_once(tmp_path: Path) -> None:
    (tmp_path / "a.xlsx").write_bytes(content("a"))
    (tmp_path / "b.xlsm").write_bytes(content("b"))
    assert len(judged_now(tmp_path)) == 2
    assert judged_now(tmp_path) == []
    (tmp_path / "a.xlsx").write_bytes(content("a again"))
    assert [one.save.path.name for one in judged_now(tmp_path)] == ["a.xlsx"]


def marking(save: Save) -> Verdict:
    return Verdict("found", f"<p>{save.digest}</p>", True, False, content(f"marks of {save.digest}"))


def test_our_marked_copy_is_never_judged_and_goes_when_it_is_out_of_date(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(content("faulty"))
    watched = Watched(
        tmp_path, lambda save: marking(save) if b"mended!" not in save.content else cheap(save), settle=0.05
    )
    assert [one.save.path for one in watched.settled(time.sleep)] == [path]
    assert marked_of(path).exists()
    assert list(watched.settled(time.sleep)) == []
    path.write_bytes(content("x") + b"mended!")  # bytes behind the package do no harm to it
    assert len(list(watched.settled(time.sleep))) == 1
    assert not marked_of(path).exists(), "it told of an earlier save"


def test_a_marked_copy_that_somebody_works_in_is_theirs(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(content("faulty"))
    assert len(judged_now(tmp_path, marking)) == 1
    theirs = content("mended in the marked copy")
    marked_of(path).write_bytes(theirs)
    path.write_bytes(content("faulty still"))
    judged = judged_now(tmp_path, marking)
    assert {one.save.path.name for one in judged} == {"a.xlsx", "a.marked.xlsx"}
    assert marked_of(path).read_bytes() == theirs
    assert "not ours" in next(one.trouble for one in judged if one.save.path == path)


def test_a_persons_own_file_of_the_verdicts_name_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.xlsx"
    path.write_bytes(content("a"))
    page_of(path).write_text("<p>my own page</p>", encoding="utf-8")
    judged = judged_now(tmp_path)
    assert page_of(path).read_text(encoding="utf-8") == "<p>my own page</p>"
    assert "not ours" in judged[0].trouble


def test_a_judge_that_stops_is_told_and_the_others_are_judged(tmp_path: Path) -> None:
    def judge(save: Save) -> Verdict:
        if save.path.name == "a.xlsx":
            raise RuntimeError("<stopped>")
        return cheap(save)

    for name in ("a.xlsx", "b.xlsx"):
        (tmp_path / name).write_bytes(content(name))
    judged = judged_now(tmp_path, judge)
    assert [one.verdict.error for one in judged] == [True, False]
    assert "&lt;stopped&gt;" in page_of(tmp_path / "a.xlsx").read_text(encoding="utf-8")


def test_the_command_judges_by_the_audit_and_never_touches_the_workbook(golden_file: Path, tmp_path: Path) -> None:
    good, bad = tmp_path / "good.xlsx", tmp_path / "bad.xls"
    good.write_bytes(golden_file.read_bytes())
    bad.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 an old file")
    done = CliRunner().invoke(app, ["watch", str(tmp_path), "--once", "--mark"])
    assert done.exit_code == 1
    assert good.read_bytes() == golden_file.read_bytes()
    assert {path.name for path in tmp_path.iterdir()} >= {"good.verdict.html", "bad.xls.verdict.html"}
    assert "save it as .xlsx" in (tmp_path / "bad.xls.verdict.html").read_text(encoding="utf-8")
    again = CliRunner().invoke(app, ["watch", str(tmp_path), "--once"])
    assert again.stdout == "Nothing new to judge.\n"


def test_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="expected a folder"):
        Watched(tmp_path / "nowhere", cheap)
