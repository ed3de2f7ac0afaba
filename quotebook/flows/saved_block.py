"""A block of figures and charts on the Risk sheet of a copy: constants, below everything that the sheet holds.

Only blank cells are filled; formulas, other sheets and the source stay as they are. A block that an earlier run left is
replaced, from its heading to its last line, and nothing that people wrote around it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from quotebook.errors import BookError
from quotebook.values import Address, Value
from quotebook.workbook.changes import Change, NewInput
from quotebook.workbook.chart_maker import Column, SheetChart
from quotebook.workbook.patch import write_copy
from quotebook.workbook.reader import read_snapshot
from quotebook.workbook.snapshot import Sheet

TITLE = "Risk"
#: Rows that a chart takes.
CHART_ROWS = 19

Charts = Callable[[int, int], Sequence[SheetChart]]


def save_block(
    source: Path, target: Path, heading: str, lines: Sequence[Sequence[Value]], charts: Charts, *, force: bool = False
) -> str:
    """Write the copy and return the first cell of the block.

    ``heading``: the text of the first line, by which the block is found again; ``lines``: what follows. ``charts``:
    gives the charts for the row and column where the block begins. Errors: BookError, TargetExists.
    """
    snapshot = read_snapshot(source)
    sheet = snapshot.sheet(TITLE)
    if sheet is None:
        raise BookError(f"{source}: found no sheet 'Risk'; expected the one that quotebook makes; leave --save-as out")
    whole: list[Sequence[Value]] = [[heading], *lines, [_end(heading)]]
    cells: dict[Address, Change] = {}
    old = _old_block(sheet, heading)
    last = max((row for row, _ in sheet.cells), default=0)
    first, column = last + 3, 1
    if old is not None:
        for row, col in sheet.cells:
            if old[0] <= row <= old[1]:
                cells[Address(sheet.title, row, col)] = NewInput(None)
        if len(whole) <= old[1] - old[0] + 1 or old[1] == last:
            first = old[0]
    for down, line in enumerate(whole):
        for right, value in enumerate(line):
            if value is not None:
                cells[Address(sheet.title, first + down, column + right)] = NewInput(value)
    write_copy(source, target, cells, force=force, charts={sheet.title: charts(first, column)})
    return str(Address(sheet.title, first, column))


def down(lines: Sequence[Sequence[Value]], top: int, first: int, count: int, column: int, title: str = "") -> Column:
    """Return a run of cells of a block for a chart.

    ``top``: the row of the block's heading; ``first``: the place of the first cell's line among ``lines``; ``column``:
    from 1.
    """
    values = [line[column - 1] for line in lines[first : first + count]]
    plain = tuple(value if isinstance(value, float | str) else None for value in values)
    return Column(top + 1 + first, column, plain, title)


def _end(heading: str) -> str:
    return f"End of: {heading}"


def _old_block(sheet: Sheet, heading: str) -> tuple[int, int] | None:
    """Return the first and last row of a block of an earlier run, or None. Without its last line it is left alone."""
    starts = [row for (row, column), cell in sheet.cells.items() if column == 1 and cell.value == heading]
    if not starts:
        return None
    start = max(starts)
    ends = [r for (r, c), cell in sheet.cells.items() if c == 1 and r > start and cell.value == _end(heading)]
    return (start, min(ends)) if ends else None
