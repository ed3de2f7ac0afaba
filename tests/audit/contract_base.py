"""A complete workbook with a contract, and ways to spoil a copy: cells through the patch, the rest in the parts."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path

from quotebook.audit.view import BookView
from quotebook.engine import evaluate
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook, opened_of
from quotebook.flows.recompute import fresh_results
from quotebook.model import Fit, Job, Nonrecurring, SupplierPrice
from quotebook.values import Address
from quotebook.workbook.changes import Change, NewFormula, NewInput
from quotebook.workbook.package import open_package
from quotebook.workbook.patch import changed_package
from quotebook.workbook.reader import snapshot_of
from tests.made import FEW_ROWS, write_workbook
from tests.samples import metric_job, metric_shop

#: A change to the bytes of one part.
Edit = Callable[[bytes], bytes]


def base_job() -> Job:
    """The metric job of the samples with header, dates, fit and nonrecurring work, so that nothing is missing."""
    job = metric_job()
    header = job.job.model_copy(
        update={
            "customer": "Example Pumps (invented)",
            "part_number": "PIN-20",
            "revision": "B",
            "quote_number": "Q-7",
            "quote_date": date(2020, 5, 4),
            "due_date": date(2020, 7, 1),
            "lead_days": 30,
        }
    )
    offers = (
        *job.supplier_prices[:1],
        SupplierPrice(
            line="Pin", supplier="Supplier F", price=12.0, chosen=True, lead_days=20, valid_until=date(2020, 6, 30)
        ),
        *job.supplier_prices[2:4],
    )
    return job.model_copy(
        update={
            "job": header,
            "fit": Fit(length=48.0, width=30.0, height=30.0, tightest_tolerance=0.02, interest=2),
            "supplier_prices": offers,
            "nonrecurring": (Nonrecurring(description="Programming", hours=2.0, rate="Bench"),),
        }
    )


@cache
def base_view(path: Path) -> BookView:
    """Return the view of a file that no test changes."""
    return view_of(open_workbook(path))


@dataclass(frozen=True)
class Spoiled:
    """What is done to a copy: cells by field (name, row or lot), cells by address, and parts by a piece of their name.

    ``stale``: the stored results stay as they were; else they are those of a calculated file.
    """

    fields: Mapping[tuple[str, int], Change] = field(default_factory=dict)
    cells: Mapping[Address, Change] = field(default_factory=dict)
    parts: Mapping[str, Edit] = field(default_factory=dict)
    stale: bool = False


def write_base(folder: Path) -> Path:
    """Write the workbook that all cases start from."""
    return write_workbook(folder / "base.xlsx", metric_shop(), base_job(), FEW_ROWS)


def spoil(base: Path, target: Path, spoiled: Spoiled) -> Path:
    """Write a spoiled copy and return its path."""
    view = base_view(base)
    changes: dict[Address, Change] = dict(spoiled.cells)
    for (name, index), change in spoiled.fields.items():
        cell = view.field_cell(name, index)
        assert cell is not None, f"{name} has no cell {index}"
        changes[cell] = change
    # The base is read once for all copies; `write_copy`, which reads its source itself, is tried by its own tests.
    target.write_bytes(changed_package(open_package(base), view.snapshot, changes))
    if spoiled.parts:
        target.write_bytes(edited(target.read_bytes(), spoiled.parts))
    if not spoiled.stale:
        calculate(target)
    return target


def calculate(path: Path) -> None:
    """Put fresh results into a file, as a spreadsheet program does when it saves."""
    package = open_package(path)
    opened = opened_of(snapshot_of(package))
    path.write_bytes(changed_package(package, opened.snapshot, fresh_results(opened, evaluate(opened.book))))


def edited(content: bytes, parts: Mapping[str, Edit]) -> bytes:
    """Return a package in which each part whose name holds a given piece was edited; every piece must be found."""
    buffer, hit = io.BytesIO(), set()
    with zipfile.ZipFile(io.BytesIO(content)) as source, zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as copy:
        for name in source.namelist():
            data = source.read(name)
            for piece, edit in parts.items():
                if piece in name:
                    changed = edit(data)
                    assert changed != data, f"the edit of {name} changed nothing"
                    data = changed
                    hit.add(piece)
            copy.writestr(name, data)
    assert hit == set(parts), "every part to be edited must be there"
    return buffer.getvalue()


def swap(old: str, new: str, count: int = 1) -> Edit:
    """Return the edit that replaces a piece of text."""
    return lambda data: data.replace(old.encode(), new.encode(), count)


def swap_pattern(old: str, new: str) -> Edit:
    """Return the edit that replaces whatever matches, everywhere."""
    return lambda data: re.sub(old.encode(), new.encode(), data)


def same_style(source: str, target: str) -> Edit:
    """Return the edit that gives a cell the format of another one of its sheet."""

    def edit(data: bytes) -> bytes:
        found = re.search(rf'<c r="{source}" s="(\d+)"'.encode(), data)
        assert found is not None, f"{source} has no format"
        return re.sub(rf'(<c r="{target}" s=")\d+'.encode(), rb"\g<1>" + found[1], data)

    return edit


def typed(value: float | str | None) -> NewInput:
    """Return a constant typed into a cell, over a formula too."""
    return NewInput(value, over_formula=True)


def formula(text: str) -> NewFormula:
    """Return a formula typed into a cell."""
    return NewFormula(text)
