"""A what-if as a table for people, as JSON for machines, as a picture."""

from __future__ import annotations

import json
from pathlib import Path

from quotebook.cli.plain_table import table_lines
from quotebook.flows.whatif import SCHEMA, Shown, WhatIf, plain
from quotebook.values import Value

MOST_ROWS = 60


def print_table(result: WhatIf) -> None:
    """Print one line a case."""
    headings = [*(setting.chosen.words for setting in result.settings), *(shown.title for shown in result.shown)]
    rows = []
    for case in range(min(len(result.cases), MOST_ROWS)):
        inputs = [f"{value:g}" for value in result.cases[case]]
        rows.append([*inputs, *(_cell(shown, case, result.currency) for shown in result.shown)])
    print(result.file)
    print("\n".join(table_lines(headings, rows)))
    if len(result.cases) > MOST_ROWS:
        print(f"and {len(result.cases) - MOST_ROWS} more; --json lists all")
    for reason in sorted({reason for shown in result.shown for reason in shown.unknown.values()})[:5]:
        print(f"unknown: {reason}")
    for note in result.notes:
        print(f"note: {note}")
    print(f"{len(result.cases)} cases; {result.varying} of {result.formulas} formulas depend on what was set.")


def print_json(result: WhatIf) -> None:
    """Print ``{"schema": 1, "set": [...], "cases": [...], "show": [...]}``; unknown results are null with a reason."""
    data = {
        "schema": SCHEMA,
        "file": result.file,
        "currency": result.currency,
        "set": [{"field": s.chosen.words, "cell": str(s.chosen.address), "values": s.values} for s in result.settings],
        "cases": result.cases,
        "show": [
            {
                "field": shown.chosen.words,
                "cell": str(shown.chosen.address),
                "title": shown.title,
                "values": [plain(value) for value in shown.values],
                "unknown": {str(case): reason for case, reason in shown.unknown.items()},
            }
            for shown in result.shown
        ],
        "notes": result.notes,
    }
    print(json.dumps(data, indent=2))


def write_plot(result: WhatIf, target: Path, *, force: bool) -> None:
    """Write the curves as a picture. Errors: InputError, TargetExists."""
    from quotebook.flows.pictures import curve_picture
    from quotebook.pictures.writing import picture_bytes
    from quotebook.workbook.atomic import atomic_bytes

    atomic_bytes(target, picture_bytes(curve_picture(result), target), force=force)


def _cell(shown: Shown, case: int, currency: str) -> str:
    if case in shown.unknown:
        return "unknown"
    value: Value = shown.values[case]
    kind = shown.chosen.placed.field.type if shown.chosen.placed is not None else ""
    if isinstance(value, float):
        if kind in ("money", "unit price", "rate"):
            return f"{currency}{value:,.2f}"
        return f"{value:.1%}" if kind == "share" else f"{value:,.6g}"
    return "" if value is None else str(value)
