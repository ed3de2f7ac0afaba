"""A folder of generated jobs, a share of them damaged in ten ways, with what the good ones must come to."""

from __future__ import annotations

import io
import random
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from quotebook.engine import evaluate
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recompute import fresh_results
from quotebook.model import job_from_data, shop_from_data
from quotebook.pricing import price_job
from quotebook.values import Address, Value
from quotebook.workbook.changes import Change, NewInput
from quotebook.workbook.package import open_package
from quotebook.workbook.patch import changed_package
from tests import loop

#: Examples that are complete and go; each generated job is one of them with other figures.
KINDS = ("hinge-block", "spacer-ring", "valve-body", "motor-plate")
OLE = bytes.fromhex("D0CF11E0A1B11AE1")


@dataclass(frozen=True)
class Batch:
    """``expected``: unit prices by file name; ``damaged``: for each damaged file a word that its reason must hold."""

    folder: Path
    expected: dict[str, list[float | None]]
    damaged: dict[str, str]


def make_batch(folder: Path, count: int, damaged: int, seed: int = 7, rows: dict[str, int] | None = None) -> Batch:
    """Write ``count`` files, the last ``damaged`` of them damaged, each in the next of the ten ways.

    ``rows``: capacities other than the template's.
    """
    folder.mkdir(parents=True, exist_ok=True)
    rng = random.Random(seed)
    bases = [_base(folder, kind, rows) for kind in KINDS]
    expected: dict[str, list[float | None]] = {}
    told: dict[str, str] = {}
    for number in range(count):
        content, prices = bases[number % len(bases)].vary(rng)
        path = folder / f"job {number:04d}.xlsx"
        way = number - (count - damaged)
        if way >= 0:
            damage, word = WAYS[way % len(WAYS)]
            content = damage(content)
            told[path.name] = word
        else:
            expected[path.name] = prices
        path.write_bytes(content)
    return Batch(folder, expected, told)


@dataclass
class _Base:
    """An example workbook opened once, of which copies with other figures are made."""

    kind: str
    opened: Opened
    content: bytes

    def vary(self, rng: random.Random) -> tuple[bytes, list[float | None]]:
        """Return a copy with other figures and its unit prices by the reference pricing."""
        packing, cycle, price = (round(rng.uniform(*span), 2) for span in ((5, 90), (2, 60), (20, 400)))
        data = loop.job_data(self.kind)
        data["job"]["packing_per_lot"] = packing
        data["operation"][0].update(cycle_minutes=cycle, low_cycle_minutes=cycle, high_cycle_minutes=cycle)
        data["stock"]["price"] = price
        typed: dict[Address, Value] = {
            self._cell("packing_per_lot"): packing, self._cell("stock_own_price"): price,
        }  # fmt: skip
        for name in ("cycle_minutes", "low_cycle_minutes", "high_cycle_minutes"):
            typed[self._bound(("job", "operation", 0, name))] = cycle
        book = replace(self.opened.book, inputs={**self.opened.book.inputs, **typed})
        changes: dict[Address, Change] = {address: NewInput(value) for address, value in typed.items()}
        changes.update(fresh_results(replace(self.opened, book=book), evaluate(book)))
        reference = price_job(job_from_data(data, "x"), shop_from_data(loop.shop_data(), "x"))
        package = open_package(self.opened.snapshot.path)
        return changed_package(package, self.opened.snapshot, changes), [lot.unit_price for lot in reference.lots]

    def _cell(self, name: str) -> Address:
        assert self.opened.located is not None
        placed = self.opened.located.fields[name]
        return Address(placed.sheet, placed.row, placed.column)

    def _bound(self, path: tuple[str | int, ...]) -> Address:
        assert self.opened.inputs is not None
        return self.opened.inputs.places[path]


def _base(folder: Path, kind: str, rows: dict[str, int] | None) -> _Base:
    source = folder.parent / f"{folder.name} {kind}.xlsx"
    loop.write(source, loop.job_data(kind), rows=rows)
    return _Base(kind, open_workbook(source), source.read_bytes())


def _rezip(content: bytes, change: Callable[[str, bytes], bytes | None]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            data = change(entry.filename, old.read(entry))
            if data is not None:
                new.writestr(entry.filename, data)
    return buffer.getvalue()


def _in_sheet(edit: Callable[[bytes], bytes | None]) -> Callable[[bytes], bytes]:
    return lambda content: _rezip(content, lambda name, data: edit(data) if name.endswith("sheet3.xml") else data)


def _flipped(content: bytes) -> bytes:
    middle = len(content) // 3
    return content[:middle] + bytes(byte ^ 0x5A for byte in content[middle : middle + 400]) + content[middle + 400 :]


def _declared(data: bytes) -> bytes:
    return data.replace(b"<worksheet", b'<!DOCTYPE w [<!ENTITY a "b">]><worksheet', 1)


#: Ten ways, each with a word that the reason must hold.
WAYS: tuple[tuple[Callable[[bytes], bytes], str], ...] = (
    (lambda content: content[: len(content) // 2], "cut short"),
    (lambda content: b"", "empty"),
    (lambda content: b"quantity;price\n5;10\n" * 50, "text"),
    (lambda content: _rezip(content, lambda name, data: data if name.startswith("docProps") else None), "zip"),
    (lambda content: OLE + bytes(504) + "EncryptedPackage".encode("utf-16-le") + bytes(2000), "encrypted"),
    (lambda content: OLE + bytes(504) + "Workbook".encode("utf-16-le") + bytes(2000), ".xls"),
    (_flipped, "damaged"),
    (lambda content: _rezip(content, lambda name, data: None if name.endswith("sheet3.xml") else data), "part"),
    (_in_sheet(_declared), "part"),
    (_in_sheet(lambda data: data[: len(data) // 2]), "part"),
)
