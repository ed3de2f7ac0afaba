"""Planting: one fault of one kind in a copy of a base, with everything that must be known about it.

Each copy is written twice: with results recomputed, as after a save in the spreadsheet program, and with the old
results left. All other bytes of all parts stay as they were.
"""

from __future__ import annotations

import zipfile
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import NamedTuple

from quotebook.engine import compile_book
from quotebook.engine.book import FormulaBook
from quotebook.engine.program import Program
from quotebook.values import Address, Value
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.package import open_package
from quotebook.workbook.patch import changed_package
from quotebook.workbook.reader import snapshot_of
from tests.faults import kinds_cell, kinds_file, kinds_formula, kinds_input, kinds_range
from tests.faults.bases import fresh_results
from tests.faults.fault import Fault, Planter, WorkbookEdit
from tests.faults.ground import Ground, ancestors, values_of

YES, PART, RUN = "yes", "part", "yes in a run"


class Kind(NamedTuple):
    """A kind of fault. ``free``: whether an audit without a contract should find it.

    ``families``: first letters of the catalogue rows whose checks can explain it.
    """

    number: int
    name: str
    aware: str
    free: str
    families: str
    plant: Planter


def _formula(edit: kinds_formula.Edit, note: str, tests: bool = False) -> Planter:
    return kinds_formula.planted_by(edit, note, tests)


def _buried(ground: Ground, draw: Random) -> Fault | None:
    if draw.random() < 0.7:
        fault = _formula(kinds_formula.bury_rate, "reference replaced by its number")(ground, draw)
        return None if fault is None else _named(fault, "buried")
    fault = _formula(kinds_formula.point_for_number, "number replaced by a pointer")(ground, draw)
    return None if fault is None else _named(fault, "pointer")


def _named(fault: Fault, form: str) -> Fault:
    from dataclasses import replace

    return replace(fault, form=form)


KINDS = (
    Kind(1, "frozen figure", YES, RUN, "SFV", kinds_cell.frozen_figure),
    Kind(2, "wrong frozen figure", YES, RUN, "SFTV", kinds_cell.wrong_frozen_figure),
    Kind(3, "wiped cell", YES, RUN, "SFV", kinds_cell.wiped_cell),
    Kind(4, "short total", YES, YES, "SF", kinds_range.short_total),
    Kind(5, "greedy total", YES, YES, "SFT", kinds_range.greedy_total),
    Kind(6, "dropped line", YES, PART, "SF", _formula(kinds_formula.drop_term, "term dropped")),
    Kind(7, "doubled line", YES, PART, "SF", _formula(kinds_formula.double_term, "term doubled")),
    Kind(8, "slipped pointer", YES, RUN, "SFV", _formula(kinds_formula.slip_pointer, "pointer moved by one")),
    Kind(9, "wrong twin", YES, PART, "SFV", _formula(kinds_formula.wrong_twin, "another cell of the same kind")),
    Kind(10, "lost anchor", YES, YES, "SF", kinds_range.lost_anchor),
    Kind(11, "stuck anchor", YES, YES, "SFV", kinds_range.stuck_anchor),
    Kind(12, "swapped operator", YES, RUN, "SFV", _formula(kinds_formula.swap_operator, "operator swapped")),
    Kind(13, "swapped test", YES, PART, "SF", _formula(kinds_formula.swap_test, "test turned", tests=True)),
    Kind(14, "buried rate", YES, YES, "SFV", _buried),
    Kind(15, "wrong function", YES, RUN, "SF", _formula(kinds_formula.wrong_function, "function exchanged")),
    Kind(16, "stray sign", YES, PART, "SFV", _formula(kinds_formula.stray_sign, "stray sign")),
    Kind(17, "fat finger", PART, PART, "VFS", kinds_input.fat_finger),
    Kind(18, "number as text", YES, YES, "SFV", kinds_input.number_as_text),
    Kind(19, "percent slip", YES, YES, "FVS", kinds_input.percent_slip),
    Kind(20, "unit slip", PART, PART, "VFS", kinds_input.unit_slip),
    Kind(21, "line below the line", YES, YES, "SFV", kinds_range.line_below),
    Kind(22, "hushed error", YES, YES, "SF", kinds_cell.hushed_error),
    Kind(23, "loose look-up", YES, YES, "SF", kinds_input.loose_lookup),
    Kind(24, "wandering name", YES, PART, "SF", kinds_file.wandering_name),
    Kind(25, "stale price", YES, YES, "T", kinds_file.stale_price),
)
BY_NUMBER = {kind.number: kind for kind in KINDS}
#: Kinds by which the structure of a workbook is changed (formulas, names, results) and not an input.
STRUCTURAL = frozenset({*range(1, 17), 22, 24, 25})


@dataclass
class Planted:
    """A fault in two files, and what it did to the prices (by price cell; None where the price is no number).

    ``dropped``: how many earlier draws of this seed changed nothing and were thrown away.
    """

    kind: Kind
    fault: Fault
    recomputed: Path | None
    stale: Path
    before: tuple[Value, ...]
    after: tuple[Value, ...]
    moves: bool
    in_run: bool
    dropped: int
    right: frozenset[Address]

    @property
    def wanted_free(self) -> bool:
        """Tell whether an audit without a contract should find this one."""
        if self.kind.number == 14:
            return self.fault.form == "buried"
        if self.kind.number == 7:
            return False
        return self.kind.free == YES or (self.kind.free == RUN and self.in_run)


def plant(ground: Ground, kind: Kind, seed: int, folder: Path, tries: int = 6) -> tuple[Planted | None, int]:
    """Plant a fault of a kind in copies of a base; also return how many draws were dropped as changing nothing.

    None when the base has no place for the kind, or every draw changed nothing.
    """
    draw = Random(f"{ground.base.name}/{kind.number}/{seed}")
    dropped = 0
    for _ in range(tries):
        fault = kind.plant(ground, draw)
        if fault is None:
            return None, dropped
        stem = f"{ground.base.name}-{kind.number:02d}-{seed}"
        stale = folder / f"{stem}-stale.xlsx"
        write_fault(ground, stale, fault)
        package = open_package(stale)
        snapshot = snapshot_of(package)
        book = formula_book(snapshot)
        program = compile_book(book)
        values = values_of(book, program)
        if not changes_something(ground, fault, book, program, values):
            stale.unlink()
            dropped += 1
            continue
        recomputed = None
        if not fault.stale_only:
            recomputed = folder / f"{stem}-recomputed.xlsx"
            recomputed.write_bytes(changed_package(package, snapshot, fresh_results(snapshot, book, program)))
        return _planted(ground, kind, fault, (stale, recomputed), values, dropped), dropped
    return None, dropped


def write_fault(ground: Ground, target: Path, fault: Fault) -> None:
    """Write a copy with the fault in it and every stored result as it was."""
    target.write_bytes(changed_package(open_package(ground.base.path), ground.snapshot, fault.changes))
    if fault.workbook_edit is not None:
        edit_workbook_part(target, fault.workbook_edit)


def edit_workbook_part(path: Path, edit: WorkbookEdit) -> None:
    """Change the workbook part of a file in place and nothing else."""
    with zipfile.ZipFile(path) as archive:
        entries = [(info, archive.read(info)) for info in archive.infolist()]
    with zipfile.ZipFile(path, "w") as archive:
        for info, data in entries:
            archive.writestr(info, edit(data) if info.filename == "xl/workbook.xml" else data, info.compress_type)


def changes_something(
    ground: Ground, fault: Fault, book: FormulaBook, program: Program, values: dict[Address, Value]
) -> bool:
    """Tell whether a fault changes a price, or how a price answers when an input is nudged.

    A number stored as text and a line outside of the total are faults though no figure moves; old results are one where
    any result is old.
    """
    if fault.stale_only:
        return any(not _same(ground.values[cell], values.get(cell)) for cell in ground.book.formulas)
    if fault.left_out is not None or fault.form in ("text", "comma"):
        return True
    if any(not _same(ground.values.get(cell), values.get(cell)) for cell in ground.prices):
        return True
    for cell in _to_nudge(ground, fault):
        nudged = (ground.number(cell) or 0.0) * 1.1
        before = ground.nudged.get(cell)
        if before is None:
            before = _prices(ground.program, {**ground.book.inputs, cell: nudged}, ground.prices)
            ground.nudged[cell] = before
        after = _prices(program, {**book.inputs, cell: nudged}, ground.prices)
        if any(not _same(one, other) for one, other in zip(before, after, strict=True)):
            return True
    return False


def _prices(program: Program, inputs: dict[Address, Value], prices: tuple[Address, ...]) -> list[Value]:
    values, troubles = program.values(inputs)
    return [None if troubles else values[program.slots[cell]] for cell in prices]


def _to_nudge(ground: Ground, fault: Fault) -> list[Address]:
    """Return at most 30 typed numbers: first those behind the faulty cells and beside them, then others at random."""
    behind = ancestors(ground.reads, (*fault.cells, *fault.also))
    inputs = list(ground.number_inputs)
    Random(fault.new).shuffle(inputs)
    return sorted(inputs, key=lambda cell: cell not in behind)[:30]


def _planted(
    ground: Ground,
    kind: Kind,
    fault: Fault,
    files: tuple[Path, Path | None],
    values: dict[Address, Value],
    dropped: int,
) -> Planted:
    stale, recomputed = files
    before = tuple(ground.values.get(cell) for cell in ground.prices)
    after = tuple(values.get(cell) for cell in ground.prices)
    return Planted(
        kind, fault, recomputed, stale, before, after, _moves(fault, before, after),
        any(ground.in_run(cell) for cell in fault.cells if cell in ground.book.formulas), dropped,
        right_cells(ground, fault),
    )  # fmt: skip


def _moves(fault: Fault, before: tuple[Value, ...], after: tuple[Value, ...]) -> bool:
    """Tell whether a price moves by over 0.5 %, or should."""
    if fault.left_out is not None:
        first = before[0] if isinstance(before[0], float) else 0.0
        return not fault.left_out or fault.left_out > 0.005 * first
    for one, other in zip(before, after, strict=True):
        if isinstance(one, float) and not (isinstance(other, float) and abs(other - one) <= 0.005 * abs(one)):
            return True
    return False


def right_cells(ground: Ground, fault: Fault) -> frozenset[Address]:
    """Return the cells at which naming the fault counts as a hit: itself, its run, the nearest totals it feeds."""
    right = {*fault.cells, *fault.also}
    for cell in fault.cells:
        right |= {*ground.run(cell, True), *ground.run(cell, False)}
        front = {cell}
        for _ in range(3):
            front = {reader for each in front for reader in ground.dependants(each)}
            totals = {each for each in front if _is_total(ground.book.formulas.get(each, ""))}
            right |= totals
            if totals:
                break
    return frozenset(right)


def _is_total(formula: str) -> bool:
    return "SUM" in formula.upper() or formula.count("+") >= 2


def _same(one: Value, other: Value) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= 1e-9 * max(1.0, abs(one))
    return one == other
