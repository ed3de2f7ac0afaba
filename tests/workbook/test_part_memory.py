"""Reading with a memory of parts gives what reading without gives, also for files that were made to mislead it.

Source of every expectation: the same file read without a memory, which unpacks and checks every part.
"""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from quotebook.errors import BookError
from quotebook.workbook.lately import Lately
from quotebook.workbook.package import Package, open_package
from quotebook.workbook.part_memory import PartMemory
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.row_memory import RowMemory
from quotebook.workbook.snapshot import Snapshot

_SHEET = "xl/worksheets/sheet2.xml"


def outcome(path: Path, memory: RowMemory | None) -> Snapshot | str:
    """Return the reading, or what is said of the file."""
    try:
        return read_snapshot(path, memory)
    except BookError as error:
        return str(error)


def repacked(source: Path, target: Path, change: Callable[[zipfile.ZipInfo, bytes], bytes] | None = None) -> Path:
    """Write a copy, with other bytes in some parts."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            data = old.read(entry)
            kept = zipfile.ZipInfo(entry.filename, entry.date_time)
            new.writestr(kept, change(kept, data) if change else data, zipfile.ZIP_DEFLATED)
    return target


def place_of(content: bytes, name: str) -> tuple[int, int, int]:
    """Return where the header of a part, its packed bytes and its line in the directory begin."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        entry = archive.getinfo(name)
        start = entry.header_offset
        lengths = struct.unpack_from("<HH", content, start + 26)
        line = content.index(b"PK\x01\x02", archive.start_dir)
        while content[line + 46 : line + 46 + len(name)] != name.encode():
            line = content.index(b"PK\x01\x02", line + 4)
        return start, start + 30 + sum(lengths), line


def with_byte(content: bytes, place: int) -> bytes:
    """Return a copy with one byte changed."""
    return content[:place] + bytes([content[place] ^ 0x15]) + content[place + 1 :]


#: Ways to spoil a part that is known: each changes one byte, at a distance from header, packed bytes or directory line.
SPOILED = [
    ("a packed byte", 1, 40),
    ("the first packed byte", 1, 0),
    ("the flags in the header", 0, 6),
    ("the method in the header", 0, 8),
    ("the name in the header", 0, 33),
    ("the checksum in the directory", 2, 16),
    ("the size in the directory", 2, 24),
    ("the method in the directory", 2, 10),
    ("the flags in the directory", 2, 8),
    ("the name in the directory", 2, 49),
]


@pytest.mark.parametrize(("which", "distance"), [case[1:] for case in SPOILED], ids=[case[0] for case in SPOILED])
def test_a_part_spoiled_in_one_byte_is_not_taken_for_the_sound_one(
    which: int, distance: int, metric_file: Path, tmp_path: Path
) -> None:
    sound = repacked(metric_file, tmp_path / "sound.xlsx")
    content = sound.read_bytes()
    spoiled = tmp_path / "spoiled.xlsx"
    for name in (_SHEET, "xl/workbook.xml", "xl/sharedStrings.xml", "xl/theme/theme1.xml"):
        spoiled.write_bytes(with_byte(content, place_of(content, name)[which] + distance))
        memory = RowMemory()
        assert outcome(sound, memory) == outcome(sound, None)
        for _ in range(2):
            assert outcome(spoiled, memory) == outcome(spoiled, None)
        assert outcome(sound, memory) == outcome(sound, None)


def test_bytes_of_the_same_size_are_told_apart(metric_file: Path, tmp_path: Path) -> None:
    """One digit in a sheet and one letter of a name are others; sizes and names of all parts stay."""

    def other(entry: zipfile.ZipInfo, data: bytes) -> bytes:
        if entry.filename == _SHEET:
            before, digit, after = data.partition(b"<v>1")
            assert digit
            return before + b"<v>3" + after
        return (
            data.replace(b'name="customer_name"', b'name="customer_nome"') if "workbook.xml" in entry.filename else data
        )

    sound, changed = repacked(metric_file, tmp_path / "sound.xlsx"), repacked(metric_file, tmp_path / "new.xlsx", other)
    memory = RowMemory()
    plain = outcome(sound, memory)
    found = outcome(changed, memory)
    assert isinstance(found, Snapshot)
    assert found == outcome(changed, None) != plain
    assert "customer_nome" in {name.name for name in found.names}


def test_the_same_bytes_in_another_package_point_to_its_own_parts(metric_file: Path, tmp_path: Path) -> None:
    """A part that pointers name is missing in the copy: with or without a memory that is told."""
    short = tmp_path / "short.xlsx"
    with zipfile.ZipFile(metric_file) as old, zipfile.ZipFile(short, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            if entry.filename != _SHEET:
                new.writestr(entry, old.read(entry))
    memory = RowMemory()
    assert isinstance(outcome(metric_file, memory), Snapshot)
    told = outcome(short, memory)
    assert isinstance(told, str)
    assert told == outcome(short, None)


def test_known_parts_are_not_unpacked_again_whenever_they_were_packed(
    metric_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def later(entry: zipfile.ZipInfo, data: bytes) -> bytes:
        entry.date_time = (2031, 5, 20, 14, 30, 0)
        return data.replace(b"Print_Area", b"Print_area") if entry.filename == "xl/workbook.xml" else data

    first, second = repacked(metric_file, tmp_path / "1.xlsx"), repacked(metric_file, tmp_path / "2.xlsx", later)
    memory = RowMemory()
    read_snapshot(first, memory)
    unpacked = []
    ordinary = Package.read_entry
    monkeypatch.setattr(
        Package, "read_entry", lambda self, entry: (unpacked.append(entry.filename), ordinary(self, entry))[1]
    )
    found = read_snapshot(second, memory)
    assert unpacked == ["xl/workbook.xml"]
    assert found == read_snapshot(second)


def test_a_part_is_unpacked_where_its_bytes_are_asked_for(metric_file: Path) -> None:
    memory = PartMemory()
    one, two, plain = (open_package(metric_file, given) for given in (memory, memory, None))
    for name in one.names:
        assert one.digest(name) == two.digest(name) == plain.digest(name)
        assert one.read(name) == two.read(name) == plain.read(name)


def test_a_store_forgets_what_was_not_asked_for_longest() -> None:
    store: Lately[str, str] = Lately(10)
    store.keep("a", "A", 4)
    store.keep("b", "B", 4)
    assert store.get("a") == "A"
    store.keep("c", "C", 4)
    assert [store.get(key) for key in "abc"] == ["A", None, "C"]
    store.keep("c", "CC", 5)  # instead of the earlier one
    assert [store.get(key) for key in "ac"] == ["A", "CC"]
    store.keep("d", "D", 11)  # too heavy for itself
    assert [store.get(key) for key in "acd"] == ["A", "CC", None]
