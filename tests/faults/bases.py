"""The workbooks that faults are planted in: generated ones with a contract, home-made ones, and hasty ones.

Every third base is held out: nothing may be tuned on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from openpyxl import Workbook

from quotebook.engine import Status, compile_book
from quotebook.engine.book import FormulaBook
from quotebook.engine.program import Program
from quotebook.flows.new import make_workbook
from quotebook.model import Job, Shop, to_data
from quotebook.values import Address, column_number
from quotebook.workbook.areas import parse_area
from quotebook.workbook.changes import Change, NewResult
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Snapshot
from tests.faults.generated import JOBS, shop_and_job
from tests.made import FEW_ROWS

HOMEMADE = (
    "one_page", "breaks_across", "breaks_down", "several_sheets", "lookup_material", "minutes_and_hours",
    "two_columns", "named_rates", "quantity_table", "machine_grid", "bought_parts", "part_family", "field_repair",
    "bar_work", "shop_form", "steel_lengths",
)  # fmt: skip
NATURAL = (
    "wide_sheet", "op_list", "per_piece", "two_tabs", "old_sheet_reused", "down_the_page", "tidy_owner",
)  # fmt: skip
AWARE, FREE = "aware", "free"


@dataclass(frozen=True)
class Base:
    """A sound workbook on disk. ``prices``: cells that hold the quoted price, the most important one first."""

    name: str
    mode: str
    path: Path
    prices: tuple[Address, ...]
    held_out: bool


def make_bases(folder: Path, *, generated: int = len(JOBS), homemade: int = len(HOMEMADE)) -> list[Base]:
    """Write the bases into a folder and return them."""
    folder.mkdir(parents=True, exist_ok=True)
    bases = [make_generated(folder, number) for number in range(generated)]
    bases += [make_homemade(folder, number) for number in range(homemade)]
    return bases


def make_generated(folder: Path, number: int, *, few_rows: bool = False) -> Base:
    """Write one workbook that quotebook makes, filled in as a shop would.

    ``few_rows``: tables no longer than the job needs, or a little more; they are audited several times as fast.
    """
    shop, job = shop_and_job(number)
    rows = {"routing": 40} if len(job.operations) > 24 else None
    if few_rows:
        rows = _few_rows(shop, job)
    path = folder / f"generated_{number + 1:02d}.xlsx"
    path.write_bytes(make_workbook(to_data(shop), to_data(job), rows=rows).content)
    return Base(path.stem, AWARE, path, _contract_prices(path), held_out=number % 3 == 2)


def _few_rows(shop: Shop, job: Job) -> dict[str, int]:
    used = {
        "quantity_breaks": len(job.job.quantities),
        "routing": len(job.operations),
        "cutting": len(job.cutting),
        "buyouts": len(job.buyouts),
        "supplier_prices": len(job.supplier_prices),
        "nonrecurring": len(job.nonrecurring),
        "hand_rates": len(shop.hand_rates),
        "work_centers": len(shop.work_centers),
        "materials": len(shop.materials),
    }
    return {key: max(count, used.get(key, 0) + 1) for key, count in FEW_ROWS.items()}


def make_homemade(folder: Path, number: int) -> Base:
    """Write one home-made workbook, calculated as a spreadsheet program would have."""
    name = HOMEMADE[number]
    prices = typed_workbook(folder / f"{name}.xlsx", "homemade", name)
    return Base(name, FREE, folder / f"{name}.xlsx", prices, held_out=number % 3 == 2)


def make_natural(folder: Path, name: str) -> Base:
    """Write one sheet that was typed in haste, with its mistakes in it."""
    folder.mkdir(parents=True, exist_ok=True)
    prices = typed_workbook(folder / f"{name}.xlsx", "natural", name)
    return Base(name, FREE, folder / f"{name}.xlsx", prices, held_out=False)


def typed_workbook(path: Path, kind: str, name: str) -> tuple[Address, ...]:
    """Build a typed workbook at a path, store the results of its formulas, and return its price cells."""
    module = import_module(f"tests.faults.{kind}.{name}")
    book = Workbook()
    module.build(book)
    raw = path.with_suffix(".raw.xlsx")
    book.save(raw)
    with_fresh_results(raw, path)
    raw.unlink()
    return tuple(address_of(text) for text in module.PRICE)


def with_fresh_results(source: Path, target: Path) -> None:
    """Write a copy in which every formula's stored result is the one that it has now, as after a save."""
    snapshot = read_snapshot(source)
    book = formula_book(snapshot)
    write_copy(source, target, fresh_results(snapshot, book, compile_book(book)), force=True)


def fresh_results(snapshot: Snapshot, book: FormulaBook, program: Program) -> dict[Address, Change]:
    """Return the stored results that are not the present ones; a formula whose result is not known keeps its own.

    An empty text and no stored result are taken for the same, as programs store either.
    """
    changes: dict[Address, Change] = {}
    for address, result in program.run(book.inputs).results.items():
        cell = snapshot.cell(address)
        if cell is None or result.status is not Status.EVALUATED:
            continue
        stored = "" if cell.value is None else cell.value
        fresh = "" if result.value is None else result.value
        if type(stored) is not type(fresh) or stored != fresh:
            changes[address] = NewResult(result.value)
    return changes


def address_of(text: str) -> Address:
    """Return the cell that ``Sheet!B7`` names."""
    title, _, cell = text.rpartition("!")
    area = parse_area(cell)
    assert area is not None, text
    return Address(title, area.first_row, area.first_column)


def _contract_prices(path: Path) -> tuple[Address, ...]:
    """Return the prices that a customer is told, in the order in which a person would name them."""
    snapshot = read_snapshot(path)
    values = {name.name: name.text for name in snapshot.names if name.sheet is None}

    def row(name: str) -> tuple[str, int]:
        title, _, place = values[name].rpartition("!")
        return title.strip("'"), int(place.split("$")[2].rstrip(":"))

    sizes_at = Address(*row("lot_size"), column_number("D"))
    cells = snapshot.sheet(sizes_at.sheet)
    assert cells is not None, "the price sheet"
    lots = [column for column in range(4, 10) if getattr(cells.cells.get((sizes_at.row, column)), "value", 0)]
    fields = ("extended_price", "first_order_total", "repeat_extended", "unit_price", "repeat_unit_price")
    return tuple(Address(*row(name), column) for name in fields for column in lots)
