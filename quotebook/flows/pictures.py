"""Pictures of a what-if and of a risk run."""

from __future__ import annotations

from quotebook.errors import InputError
from quotebook.flows.risk_run import LotRisk, RiskRun
from quotebook.flows.whatif import WhatIf
from quotebook.pictures.charts import Bar, Curve, curves, histogram, tornado
from quotebook.pictures.shapes import Picture

#: More lines than this cannot be told apart.
MOST_LINES = 6


def curve_picture(result: WhatIf) -> Picture:
    """Return the first kind of result shown over the first input that varies; a line for each value of a second input.

    Errors: InputError when no input takes several values, or no result is a number.
    """
    moving = [n for n, setting in enumerate(result.settings) if len(setting.values) > 1]
    if not moving:
        raise _refused(result, "one value of every input", "an input with a range, as --set quantity=1:500:50")
    axis = result.settings[moving[0]]
    kind = result.shown[0].title.split(" ")[0]
    lines: list[Curve] = []
    for shown in result.shown:
        if shown.title.split(" ")[0] != kind:
            continue
        groups: dict[tuple[float, ...], list[float | None]] = {}
        for case, value in zip(result.cases, shown.values, strict=True):
            others = tuple(case[n] for n in moving[1:])
            groups.setdefault(others, []).append(value if isinstance(value, float) else None)
        for others, values in groups.items():
            named = [f"{result.settings[n].chosen.words} {v:g}" for n, v in zip(moving[1:], others, strict=True)]
            lines.append(Curve(", ".join([shown.title, *named]), values))
    lines = lines[:MOST_LINES]
    if not any(value is not None for line in lines for value in line.values):
        raise _refused(result, "no number among the results shown", "a result that is a number in some case")
    across = f"{axis.chosen.label} ({axis.chosen.words})" + (f", {axis.chosen.unit}" if axis.chosen.unit else "")
    up = f"{result.shown[0].chosen.label}" + (f", {result.currency}" if result.currency else "")
    return curves(f"{result.shown[0].chosen.label} by {axis.chosen.words}", axis.values, lines, across, up)


def cost_picture(run: RiskRun, lot: LotRisk) -> Picture:
    """Return the histogram of a lot's cost."""
    marks = [("P50", lot.cost_at(0.5).cost), ("P80", lot.cost_at(0.8).cost)]
    if lot.price is not None:
        marks.append(("price", lot.price))
    title = f"Cost of a lot of {lot.quantity:g}: {run.cases:,} cases, seed {run.seed}, {run.shape}"
    return histogram(title, lot.histogram, lot.edges, f"cost of the lot {run.currency}".strip(), marks)


def tornado_picture(run: RiskRun, lot: LotRisk) -> Picture:
    """Return what each uncertain operation does to a lot's cost."""
    bars = [Bar(each.name, each.at_low, each.at_high) for each in lot.influences]
    title = f"What moves the cost of a lot of {lot.quantity:g}"
    return tornado(title, bars, lot.likely_cost, f"cost of the lot {run.currency}".strip())


def _refused(result: WhatIf, found: str, expected: str) -> InputError:
    return InputError(result.file, [f"--plot: found {found}; expected {expected}; change --set or --show"])
