"""The figures of a risk run, with histogram and tornado, in a copy of the workbook.

The figures are constants and say so, with seed and number of cases, because a workbook cannot repeat the run by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from quotebook.flows.risk_run import SHARES, LotRisk, RiskRun
from quotebook.flows.saved_block import CHART_ROWS, down, save_block
from quotebook.values import Value
from quotebook.workbook.chart_maker import SheetChart

#: Decimals of what is written: nobody reads more of a drawn figure, and the cells have no number format.
CENTS = 2
HEADING = "Drawn cases (constants, not formulas)"
_NAMES = ("quotebook cost histogram", "quotebook cost tornado")


def save_risk(run: RiskRun, source: Path, target: Path, *, force: bool = False) -> str:
    """Write the copy and return the first cell of the block. Errors: BookError, TargetExists."""
    lines = _lines(run)
    start = len(lines)
    lot = run.lots[-1] if run.lots else None
    if lot is not None:
        lines += [*_histogram(lot), *_tornado(lot)]

    def charts(top: int, column: int) -> Sequence[SheetChart]:
        return [] if lot is None else _charts(run, lot, lines, start, top)

    return save_block(source, target, HEADING, lines, charts, force=force)


def _lines(run: RiskRun) -> list[list[Value]]:
    lots = run.lots
    lines: list[list[Value]] = [
        [f"{run.cases} cases, seed {run.seed}, {run.shape}, correlation {run.correlation:g}; ± is one standard error"],
        ["Good pieces", *[lot.quantity for lot in lots]],
        ["Mean cost", *[round(lot.mean, CENTS) for lot in lots]],
        ["± of the mean", *[round(lot.mean_error, CENTS) for lot in lots]],
    ]
    for share in SHARES:
        found = [lot.cost_at(share) for lot in lots]
        lines.append([f"Cost not passed, P{share * 100:g}", *[round(each.cost, CENTS) for each in found]])
        lines.append([f"± of P{share * 100:g}", *[round(each.error, CENTS) for each in found]])
    chances = [None if lot.loss_chance is None else round(lot.loss_chance, 6) for lot in lots]
    lines.append(["Chance of losing money", *chances])
    lines.append([])
    return lines


def _histogram(lot: LotRisk) -> list[list[Value]]:
    middles = [(left + right) / 2 for left, right in zip(lot.edges[:-1], lot.edges[1:], strict=True)]
    pairs: list[list[Value]] = [
        [round(middle, CENTS), float(count)] for middle, count in zip(middles, lot.histogram, strict=True)
    ]  # fmt: skip
    return [[f"Cost of the lot of {lot.quantity:g} (middle of the step)", "Cases"], *pairs, []]


def _tornado(lot: LotRisk) -> list[list[Value]]:
    """Return each input with where its bar begins, how far it reaches to the likely cost, and how far beyond."""
    lines: list[list[Value]] = [[f"Lot of {lot.quantity:g}: operation", "Lowest cost", "up to likely", "beyond likely"]]
    for each in lot.influences:
        low, high = sorted((each.at_low, each.at_high))
        low, high = min(low, lot.likely_cost), max(high, lot.likely_cost)
        parts = (low, lot.likely_cost - low, high - lot.likely_cost)
        lines.append([each.name, *[round(part, CENTS) for part in parts]])
    return lines


def _charts(run: RiskRun, lot: LotRisk, lines: list[list[Value]], start: int, top: int) -> list[SheetChart]:
    bins, bars = len(lot.histogram), len(lot.influences)
    first, second = start + 1, start + 1 + bins + 2
    across = f"cost of the lot {run.currency}".strip()
    return [
        SheetChart(
            _NAMES[0], "histogram", f"Cost of a lot of {lot.quantity:g}: {run.cases:,} cases, seed {run.seed}", across,
            "cases", down(lines, top, first, bins, 1), (down(lines, top, first, bins, 2, "cases"),),
            top + 1 + start, 6,
        ),
        SheetChart(
            _NAMES[1], "spans", f"What moves the cost of a lot of {lot.quantity:g}", across, "",
            down(lines, top, second, bars, 1),
            tuple(
                down(lines, top, second, bars, number, title)
                for number, title in ((2, "begins"), (3, "up to the likely cost"), (4, "beyond it"))
            ),
            top + 1 + start + CHART_ROWS + 1, 6,
        ),
    ]  # fmt: skip
