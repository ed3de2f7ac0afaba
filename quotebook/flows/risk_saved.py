"""The figures of a risk run written into a copy of the workbook, below everything that the Risk sheet holds.

Only blank cells are filled; formulas, other sheets and the source stay as they are. The figures are constants and say
so, with seed and number of cases, because a workbook cannot repeat the run by itself.
"""

from __future__ import annotations

from pathlib import Path

from quotebook.errors import BookError
from quotebook.flows.risk_run import SHARES, RiskRun
from quotebook.values import Address, Value
from quotebook.workbook.changes import Change, NewInput
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot

TITLE = "Risk"
HEADING = "Drawn cases (constants, not formulas)"


def save_risk(run: RiskRun, source: Path, target: Path, *, force: bool = False) -> str:
    """Write the copy and return the first cell of the block. Errors: BookError, TargetExists."""
    snapshot = read_snapshot(source)
    sheet = snapshot.sheet(TITLE)
    if sheet is None:
        raise BookError(f"{source}: found no sheet 'Risk'; expected the one that quotebook makes; leave --save-as out")
    heads = [place for place, cell in sheet.cells.items() if cell.value == HEADING]
    # A block of an earlier run is written over; otherwise two rows are left free below the last cell in use.
    first = min(heads)[0] if heads else max((row for row, _ in sheet.cells), default=0) + 3
    column = min(heads)[1] if heads else 1
    cells: dict[Address, Change] = {}
    if heads:
        for row, col in sheet.cells:
            if row >= first:
                cells[Address(sheet.title, row, col)] = NewInput(None)
    for down, line in enumerate(_lines(run)):
        for right, value in enumerate(line):
            if value is not None:
                cells[Address(sheet.title, first + down, column + right)] = NewInput(value)
    write_copy(source, target, cells, force=force)
    return str(Address(sheet.title, first, column))


def _lines(run: RiskRun) -> list[list[Value]]:
    how = "operations together" if run.together else "operations by themselves"
    lines: list[list[Value]] = [
        [HEADING],
        [f"{run.cases} cases, seed {run.seed}, {run.shape}, {how}; ± is one standard error"],
        ["Good pieces", *[lot.quantity for lot in run.lots]],
        ["Mean cost", *[lot.mean for lot in run.lots]],
        ["± of the mean", *[lot.mean_error for lot in run.lots]],
    ]
    for share in SHARES:
        lines.append([f"Cost not passed, P{share * 100:g}", *[lot.cost_at(share).cost for lot in run.lots]])
        lines.append([f"± of P{share * 100:g}", *[lot.cost_at(share).error for lot in run.lots]])
    lines.append(["Chance of losing money", *[lot.loss_chance for lot in run.lots]])
    return lines
