"""A formula is stored as text and never calculated.

What it finds
    Texts that begin with an equals sign and would be a formula.

Why it costs money
    The cell shows its formula, or what looks like a figure, and counts as nothing.

Faulty
    the text "=B5*C5"

Sound
    the formula =B5*C5

How to mend
    Set the cell's format from text to general, then enter the formula again.

False alarms
    Examples of formulas in notes.

Source
    Catalogue row F50.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.engine import syntax as s
from quotebook.engine.parse import parse
from quotebook.engine.tokens import FormulaTrouble

CHECK = Check(
    "formula-as-text", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F50",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula kept as text."""
    grid = foreign(view).grid
    for cell, text in view.book.inputs.items():
        if not isinstance(text, str) or not text.strip().startswith("="):
            continue
        formula = text.strip().removeprefix("=")
        try:
            tree = parse(formula)
        except FormulaTrouble:
            continue
        if isinstance(tree, s.Text | s.NameRef):
            continue
        read = bool(grid.users.get(cell))
        yield told(
            CHECK,
            cell,
            f'the text "{text.strip()}"',
            f"the formula ={formula}",
            "Set the cell's format from text to general and enter the formula again.",
            fact("a text is never calculated" + ("; other formulas read this cell" if read else "")),
            severity=CHECK.severity if read else Severity.LOOK_AT_IT,
            put_right={cell: Formula(formula)},
        )
