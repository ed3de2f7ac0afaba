"""The cache on disk: the same answers, shared by equal books, and nothing taken from a file that is not ours."""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path

import pytest

from quotebook.engine import FormulaBook, Program, disk_cache, planner
from quotebook.engine import compile as compiling
from quotebook.engine.compile import compile_book, compile_new
from quotebook.engine.stored import from_text, to_text
from quotebook.values import Address
from tests.engine.small import small
from tests.engine.tables import FAMILIES, case_book


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("QUOTEBOOK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(compiling, "SMALLEST_STORED", 1)
    compiling._PROGRAMS.clear()
    return tmp_path / "cache"


def book(formula: str = "A1*2") -> FormulaBook:
    return small({"B1": formula, "B2": "SUM(A1:A9)", "B3": 'IFERROR(B1/0,"none")'}, {"A1": 21.0})


def plans(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.plan"))


def fresh(given: FormulaBook) -> Program:
    """Compile as a new process would."""
    compiling._PROGRAMS.clear()
    return compile_book(given)


@pytest.mark.parametrize("family", FAMILIES)
def test_a_plan_survives_the_way_through_text(family: str) -> None:
    given = case_book(family)[0]
    program = compile_new(given)
    again = from_text(to_text(program.plan))
    assert again == program.plan or to_text(again) == to_text(program.plan)
    assert Program(again).run(given.inputs).results == program.run(given.inputs).results


def test_a_second_process_does_not_compile(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = compile_book(book()).run(book().inputs).results
    monkeypatch.setattr(planner, "plan_book", lambda given: pytest.fail("compiled again"))
    assert fresh(book()).run(book().inputs).results == first
    assert len(plans(folder)) == 1


def test_copies_in_other_words_share_one_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    compile_book(book("A1*2"))
    monkeypatch.setattr(planner, "plan_book", lambda given: pytest.fail("compiled again"))
    assert fresh(book("(a1 * 2)")).run({Address("S", 1, 1): 4.0}).results[Address("S", 1, 2)].value == 8.0
    assert len(plans(folder)) == 1


def test_another_formula_is_another_file(folder: Path) -> None:
    compile_book(book("A1*2"))
    assert fresh(book("A1*3")).run({Address("S", 1, 1): 4.0}).results[Address("S", 1, 2)].value == 12.0
    assert len(plans(folder)) == 2


def rewrite(path: Path, change: tuple[bytes, bytes], *, signed: bool) -> None:
    digest, _, body = path.read_bytes().partition(b"\n")
    assert change[0] in body
    body = body.replace(*change)
    path.write_bytes((sha256(body).hexdigest().encode() if signed else digest) + b"\n" + body)


def test_a_changed_file_is_not_believed(folder: Path) -> None:
    compile_book(book())
    rewrite(plans(folder)[0], (b"multiply", b"subtract"), signed=False)
    assert fresh(book()).run(book().inputs).results[Address("S", 1, 2)].value == 42.0


@pytest.mark.parametrize(
    "evil",
    [
        b"__import__(v)",
        b"open(v[a0])",
        b"v.__class__",
        b"f_SUM.__globals__",
        b"(lambda: exec)()",
        b"`",
        b"x",
        b"'..'.join",
    ],
)
def test_code_in_a_signed_file_is_refused(folder: Path, evil: bytes) -> None:
    """Even somebody who can write the file, digest and all, gets no word beyond the vocabulary run."""
    compile_book(book())
    path = plans(folder)[0]
    rewrite(path, (b"multiply", evil), signed=True)
    assert disk_cache.load_path(path) is None
    assert fresh(book()).run(book().inputs).results[Address("S", 1, 2)].value == 42.0


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="no owners of files on this system")
def test_what_others_may_write_is_not_read(folder: Path) -> None:
    compile_book(book())
    path = plans(folder)[0]
    assert disk_cache.load_path(path) is not None
    path.chmod(0o666)
    assert disk_cache.load_path(path) is None
    path.chmod(0o600)
    link = folder / "link.plan"
    link.symlink_to(path)
    assert disk_cache.load_path(link) is None
    folder.chmod(0o777)
    assert disk_cache.load("anything") is None
    assert disk_cache._folder() is None


@pytest.mark.parametrize("junk", [b"", b"no digest", b"0\n{}", b"\xff\xfe\n\x00"])
def test_junk_is_as_good_as_nothing(folder: Path, junk: bytes) -> None:
    compile_book(book())
    for path in folder.iterdir():
        path.write_bytes(junk)
    assert fresh(book()).run(book().inputs).results[Address("S", 1, 2)].value == 42.0


def test_the_folder_stays_small(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk_cache, "MOST_BYTES", 8_000)
    for number in range(20):
        fresh(book(f"A1*{number}"))
    assert 0 < sum(path.stat().st_size for path in folder.iterdir()) <= 8_000 + 400
    assert not list(folder.glob(".new-*"))


def test_it_can_be_switched_off(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QUOTEBOOK_CACHE", "off")
    compile_book(book())
    assert not folder.exists()


def test_a_folder_that_cannot_be_made_stops_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("QUOTEBOOK_CACHE", str(tmp_path / "file" / "cache"))
    assert compile_book(book()).run(book().inputs).evaluated == 3
