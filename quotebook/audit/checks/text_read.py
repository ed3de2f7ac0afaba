"""A formula calculates with a cell that holds a text.

What it finds
    Sums and products that read a heading or a note; sums over ranges pass it over without a word.

Why it costs money
    The figure that was meant is not in the result.

Faulty
    =C5*D4, where D4 is the heading "Rate"

Sound
    =C5*D5

How to mend
    Point the formula to the figure.

False alarms
    Texts that spell numbers are told of by another check.

Source
    Catalogue row F11.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.checks.number_as_text import read_number
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import shown
from quotebook.audit.telling import on, shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import parts
from quotebook.engine import syntax as s
from quotebook.values import ErrorValue

CHECK = Check("text-read", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F11",))

_SKIPPING = frozenset({"SUM", "PRODUCT", "N", "AVERAGE", "MAX", "MIN"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each single text that is added or multiplied."""
    grid = foreign(view).grid
    for cell, tree in grid.trees.items():
        for part in parts(tree):
            if not isinstance(part.node, s.Reference) or part.node.form != "cell" or not part.around:
                continue
            over = part.around[-1]
            skipped = isinstance(over, s.Call) and over.name in _SKIPPING
            arithmetic = isinstance(over, s.Binary | s.Chain | s.Unary) and not _compares(over)
            uses = list(grid.uses_in(part.node, cell))
            if not (skipped or arithmetic) or len(uses) != 1:
                continue
            place = next(uses[0].span.cells())
            text = grid.text(place)
            if not text or grid.is_formula(place) or read_number(text) is not None:
                continue
            result = grid.value(cell)
            yield told(
                CHECK,
                cell,
                f"{grid.formula(cell)}, where {on(place, cell.sheet)} is the text {shown(text)}",
                "a cell with a figure",
                "Point the formula to the figure that was meant.",
                shape(f"{on(place, cell.sheet)} is added or multiplied"),
                value(f"it holds {shown(text)}; the result is {shown(result)}"),
                severity=CHECK.severity if isinstance(result, ErrorValue) else Severity.LOOK_AT_IT,
                alike=f"{place}",
                explained_by={cell},
            )
            break


def _compares(over: s.Node) -> bool:
    if isinstance(over, s.Binary):
        return over.operator in ("=", "<>", "<", ">", "<=", ">=", "&")
    return isinstance(over, s.Chain) and "&" in over.operators
