"""The cases of a what-if, with their curves, in a copy of the workbook."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from quotebook.errors import InputError
from quotebook.flows.pictures import MOST_LINES
from quotebook.flows.saved_block import down, save_block
from quotebook.flows.whatif import WhatIf
from quotebook.values import Value
from quotebook.workbook.chart_maker import SheetChart

HEADING = "What if (constants, not formulas)"
#: More rows would bury the sheet that they stand on.
MOST_SAVED = 1_000
_NAME = "quotebook what-if curves"


def save_what_if(result: WhatIf, source: Path, target: Path, *, force: bool = False) -> str:
    """Write the copy and return the first cell of the block.

    Errors: InputError for more than ``MOST_SAVED`` cases; BookError, TargetExists.
    """
    if len(result.cases) > MOST_SAVED:
        found = f"found {len(result.cases)} cases; expected at most {MOST_SAVED}; take fewer values"
        raise InputError(result.file, [f"--save-as: {found}"])
    named = [f"{each.chosen.label} ({each.chosen.words})" for each in result.settings]
    lines: list[list[Value]] = [
        [f"{len(result.cases)} cases; unknown results are left blank"],
        [*named, *(shown.title for shown in result.shown)],
    ]
    for case, values in enumerate(result.cases):
        results = [None if case in shown.unknown else shown.values[case] for shown in result.shown]
        lines.append([*map(float, values), *results])

    def charts(top: int, column: int) -> Sequence[SheetChart]:
        return _charts(result, lines, top)

    return save_block(source, target, HEADING, lines, charts, force=force)


def _charts(result: WhatIf, lines: list[list[Value]], top: int) -> list[SheetChart]:
    """Return the curves of the first kind of result, where one input alone varies."""
    moving = [n for n, setting in enumerate(result.settings) if len(setting.values) > 1]
    kind = result.shown[0].chosen.words.split("[")[0]
    alike = [n for n, shown in enumerate(result.shown) if shown.chosen.words.split("[")[0] == kind][:MOST_LINES]
    numbers = any(isinstance(value, float) for n in alike for value in result.shown[n].values)
    if len(moving) != 1 or not numbers:
        return []
    axis, first, count = result.settings[moving[0]], result.shown[0].chosen, len(result.cases)
    inputs = len(result.settings)
    up = f"{first.label} {result.currency}".strip()
    across = f"{axis.chosen.label}, {axis.chosen.unit}".rstrip(", ")
    series = tuple(down(lines, top, 2, count, inputs + n + 1, result.shown[n].title) for n in alike)
    over = down(lines, top, 2, count, moving[0] + 1)
    column = inputs + len(result.shown) + 2
    return [SheetChart(_NAME, "curves", f"{first.label} by {axis.chosen.label}", across, up, over, series, top, column)]
