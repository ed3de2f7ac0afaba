"""Limits of unpacked size and expansion.

Numbers: the design's own limits (100 MB a part, 300 MB in all, 100 times, second chance below 100 MB).
"""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from quotebook.errors import UnsafeWorkbook
from quotebook.workbook.package_limits import check_limits
from quotebook.workbook.reader import read_snapshot
from tests.workbook.raw import parts_of, raw_book, worksheet, write_parts


def test_repetitive_sheet_gets_its_second_chance(tmp_path: Path) -> None:
    rows = "".join(f'<row r="{n}"><c r="A{n}" s="0"><v>0</v></c></row>' for n in range(1, 2_001))
    path = raw_book(tmp_path / "book.xlsx", rows + " " * 3_000_000)
    with zipfile.ZipFile(path) as archive:
        entry = archive.getinfo("xl/worksheets/sheet1.xml")
        assert entry.file_size / entry.compress_size > 100
    assert len(read_snapshot(path).sheets[0].cells) == 2_000


def test_zeros_of_150_megabytes_are_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_parts(tmp_path / "bomb.xlsx", parts_of())
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        for number in range(2):
            archive.writestr(f"xl/media/{number}.bin", bytes(75_000_000))
    monkeypatch.setattr(zipfile.ZipFile, "open", lambda *_: pytest.fail("a part was unpacked"))
    with pytest.raises(UnsafeWorkbook, match="expanding"):
        read_snapshot(path)


def entry(name: str, size: int, packed: int) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name)
    info.orig_filename = name
    info.file_size, info.compress_size = size, packed
    return info


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ([(100_000_001, 50_000_000)], "in part"),
        ([(90_000_000, 40_000_000)] * 4, "when unpacked"),
        ([(90_000_000, 40_000_000), (11_000_000, 100_000)], "expanding 110 times"),
    ],
)
def test_sizes_over_the_limit(sizes: list[tuple[int, int]], words: str) -> None:
    entries = [entry(f"xl/{number}.bin", *size) for number, size in enumerate(sizes)]
    with pytest.raises(UnsafeWorkbook, match=words):
        check_limits("book", entries, b"")


def test_small_part_that_expands_much_is_harmless(tmp_path: Path) -> None:
    """Expansion counts past 100 KiB only."""
    path = raw_book(tmp_path / "book.xlsx", " " * 99_000)
    assert read_snapshot(path).sheets[0].title == "Data"


def test_content_longer_than_declared_is_never_unpacked(tmp_path: Path) -> None:
    """A part that says 1,000 bytes and unpacks to 90 MB must cost no more than it says."""
    import tracemalloc

    from tests.hostile.bad_packages import declared

    path = write_parts(tmp_path / "liar.xlsx", parts_of() | {"xl/worksheets/sheet1.xml": worksheet(" " * 90_000_000)})
    path.write_bytes(declared(24, 1000)(path.read_bytes()))
    tracemalloc.start()
    with pytest.raises(Exception, match="damaged bytes"):
        read_snapshot(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 10_000_000
