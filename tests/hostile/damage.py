"""Three hundred and more damaged or malicious packages, each made from a seed, none downloaded.

``all_cases()`` gives name and maker of each. Bases: a small raw package, a home-made quote sheet, and a workbook that
carries a contract.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from functools import lru_cache, partial
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import NamedTuple

from quotebook.flows.new import make_workbook
from quotebook.model import to_data
from tests.faults.bases import typed_workbook
from tests.hostile.bad_files import BAD_FILES
from tests.hostile.bad_packages import BAD_PACKAGES, BOMB, FILE_ENTITY
from tests.hostile.nasty_content import NASTY_CONTRACTS, NASTY_SHEETS
from tests.samples import metric_job, metric_shop
from tests.workbook.raw import SHEET_PART, parts_of, worksheet, write_parts

BOMBS = {
    "laughs": BOMB,
    "quadratic": f'<!DOCTYPE x [<!ENTITY a "{"a" * 50_000}">]>',
    "file": FILE_ENTITY,
    "address": '<!DOCTYPE x [<!ENTITY a SYSTEM "http://127.0.0.1:9/x">]>',
    "parameter": '<!DOCTYPE x [<!ENTITY % p SYSTEM "file:///etc/passwd"> %p;]>',
    "empty": "<!DOCTYPE x>",
}
TRICKS = (
    "../evil.xml", "xl/worksheets/../../../evil", "..\\..\\evil", "/xl/evil.xml", "C:/evil", "xl/sheet1.xml/",
    "xl/wor\x01ksheets.xml", "xl/con", "./././x", "xl/\u202elmx.1teehs",
)  # fmt: skip


class Case(NamedTuple):
    """A hostile file: its name in the reports, and how it is made at a path."""

    name: str
    make: Callable[[Path], object]
    file_name: str = "quote.xlsx"


def all_cases() -> Iterator[Case]:
    """Yield every case."""
    for bad in (*BAD_FILES, *BAD_PACKAGES):
        yield Case(bad.name, bad.make, bad.file_name)
    yield from _truncated()
    yield from _flipped()
    yield from _bombs()
    yield from _swollen()
    yield from _tricks()
    yield from _missing()
    yield from _fuzzed()
    for name, parts in NASTY_SHEETS.items():
        yield Case(f"sheet: {name}", partial(_write, parts))
    for name, change in NASTY_CONTRACTS.items():
        yield Case(f"contract: {name}", partial(_write_changed, change))


@lru_cache(maxsize=2)
def base(kind: str) -> bytes:
    """Return a sound workbook: "typed" by hand, or with a "contract"."""
    if kind == "contract":
        return make_workbook(to_data(metric_shop()), to_data(metric_job())).content
    with TemporaryDirectory() as folder:
        typed_workbook(Path(folder) / "book.xlsx", "homemade", "several_sheets")
        return (Path(folder) / "book.xlsx").read_bytes()


@lru_cache(maxsize=2)
def parts(kind: str) -> dict[str, bytes]:
    """Return the parts of a sound workbook."""
    with zipfile.ZipFile(io.BytesIO(base(kind))) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _write(content: dict[str, str | bytes], path: Path) -> None:
    write_parts(path, content)


def _write_changed(change: Callable[[dict[str, bytes]], dict[str, bytes]], path: Path) -> None:
    write_parts(path, dict(change(dict(parts("contract")))))


def _bytes(make: Callable[[], bytes], path: Path) -> None:
    path.write_bytes(make())


def _truncated() -> Iterator[Case]:
    for kind, count in (("typed", 24), ("contract", 6)):
        for number in range(count):
            yield Case(f"{kind} cut {number}", partial(_cut, kind, (number + 1) / (count + 1)))


def _cut(kind: str, at: float, path: Path) -> None:
    data = base(kind)
    path.write_bytes(data[: int(len(data) * at)])


def _flipped() -> Iterator[Case]:
    for number in range(44):
        yield Case(f"bits flipped {number}", partial(_flip, "contract" if number % 11 == 0 else "typed", number))


def _flip(kind: str, seed: int, path: Path) -> None:
    draw, data = Random(seed), bytearray(base(kind))
    # Half of the flips go into the directory at the end, where they do most harm.
    for _ in range(draw.randint(1, 6)):
        low = int(len(data) * 0.85) if draw.random() < 0.5 else 0
        data[draw.randrange(low, len(data))] ^= 1 << draw.randrange(8)
    path.write_bytes(bytes(data))


def _bombs() -> Iterator[Case]:
    for name, bomb in BOMBS.items():
        for part in ("xl/workbook.xml", SHEET_PART, "xl/styles.xml", "[Content_Types].xml"):
            yield Case(f"entity {name} in {part}", partial(_bombed, bomb, part))


def _bombed(bomb: str, part: str, path: Path) -> None:
    content = dict(parts("typed"))
    text = content[part].decode()
    body = text.partition("?>")[2] if text.startswith("<?xml") else text
    content[part] = (bomb + re.sub(r"(<(?:\w+:)?\w+[^>]*>)", r"\1&a;", body, count=1)).encode()
    write_parts(path, dict(content))


def _swollen() -> Iterator[Case]:
    """Yield packages that unpack to a thousand times their size."""
    blank = b" " * 90_000_000
    yield Case("spaces in the sheet", partial(_grown, SHEET_PART, b"<sheetData>", b"<sheetData>" + blank))
    yield Case("spaces in the workbook", partial(_grown, "xl/workbook.xml", b"<sheets>", b"<sheets>" + blank))
    yield Case("a comment of 90 MB", partial(_grown, SHEET_PART, b"<sheetData>", b"<!--" + blank + b"--><sheetData>"))
    for size in (1_000_000, 60_000_000, 99_000_000):
        yield Case(f"{size} zeros", partial(_added, {"xl/media/a.bin": bytes(size)}))
    yield Case("four of 80 MB", partial(_added, {f"xl/media/{n}.bin": bytes(80_000_000) for n in range(4)}))
    rows = "".join(f'<row r="{n}"><c r="A{n}"><v>1</v></c></row>' for n in range(1, 400_000))
    yield Case("400,000 rows alike", partial(_added, {SHEET_PART: worksheet(rows).encode()}))
    formulas = "".join(f'<row r="{n}"><c r="A{n}"><f>B{n}*2</f><v>0</v></c></row>' for n in range(1, 60_000))
    yield Case("60,000 formulas", partial(_added, {SHEET_PART: worksheet(formulas).encode()}))
    yield Case("a zip in a zip", partial(_added, {"xl/media/inner.zip": _zip_of(bytes(20_000_000))}))


def _zip_of(data: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("x", data)
    return buffer.getvalue()


def _grown(part: str, old: bytes, new: bytes, path: Path) -> None:
    content = dict(parts("typed"))
    assert old in content[part], part
    content[part] = content[part].replace(old, new, 1)
    write_parts(path, dict(content))


def _added(more: dict[str, bytes], path: Path) -> None:
    write_parts(path, parts_of() | more)


def _tricks() -> Iterator[Case]:
    for trick in TRICKS:
        yield Case(f"path {trick!r}", partial(_with_entry, trick))


def _with_entry(name: str, path: Path) -> None:
    path.write_bytes(base("typed"))
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(zipfile.ZipInfo(name), "x")


def _missing() -> Iterator[Case]:
    for kind in ("typed", "contract"):
        names = sorted(parts(kind))
        for name in names if kind == "typed" else names[::6]:
            yield Case(f"{kind} without {name}", partial(_without, kind, name))


def _without(kind: str, name: str, path: Path) -> None:
    write_parts(path, {each: data for each, data in parts(kind).items() if each != name})


def _fuzzed() -> Iterator[Case]:
    for number in range(72):
        kind = "contract" if number % 9 == 0 else "typed"
        yield Case(f"fuzzed {kind} {number}", partial(_fuzz, kind, number))


_ODD = (
    "",
    "-1",
    "0",
    "9" * 30,
    "1e999",
    "A",
    "../../x",
    "A1:",
    "$",
    "é",
    "#REF!",
    "true",
    " ",
    "NaN",
    "XFD1048577",
    "r",
)


def _fuzz(kind: str, seed: int, path: Path) -> None:
    """Change one to five attribute values or texts of one or two parts; the XML mostly stays well formed."""
    draw, content = Random(1000 + seed), dict(parts(kind))
    for _ in range(draw.randint(1, 5)):
        name = draw.choice([each for each in sorted(content) if each.endswith((".xml", ".rels"))])
        data = content[name]
        places = [match.span(1) for match in re.finditer(rb'="([^"]*)"', data)]
        places += [match.span(1) for match in re.finditer(rb">([^<]+)<", data)]
        if not places:
            continue
        start, end = draw.choice(places)
        put = draw.choice(_ODD).encode() if draw.random() < 0.85 else bytes([draw.randrange(256)])
        content[name] = data[:start] + put + data[end:]
    write_parts(path, dict(content))
