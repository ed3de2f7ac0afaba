"""A formula gives an error.

What it finds
    Error results such as #DIV/0!, #REF! or #N/A, told of at the cell where the error begins, not at all that follow.

Why it costs money
    Everything that depends on the cell is an error too, or has been caught and turned into a zero.

Faulty
    unit price =E20/B3 with B3 blank: #DIV/0!

Sound
    unit price =E20/B3 with B3 filled in

How to mend
    Fill in the input that is missing or point the formula to the cell that was meant.

False alarms
    #N/A typed or made on purpose for charts.

Source
    Catalogue row F23; seen in 22 of 274 measured real workbooks.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import a1
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.values import Address, ErrorValue

CHECK = Check(
    "error-value", Severity.DO_NOT_QUOTE, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F23", "F11")
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each cell where an error begins."""
    grid = foreign(view).grid
    for cell in sorted(grid.trees):
        error = grid.value(cell)
        if not isinstance(error, ErrorValue) or grid.book.formulas[cell].strip().upper() == "NA()":
            continue
        before = view.links.precedents(cell)
        if any(isinstance(grid.value(each), ErrorValue) for each in before):
            continue
        on_path = view.is_on_price_path(cell)
        texts = [each for each in before if grid.text(each)]
        cause = f"; {a1(texts[0])} holds the text {grid.text(texts[0])!r}" if texts and _is_value(error) else ""
        yield told(
            CHECK,
            cell,
            f"{error} from {grid.formula(cell)}",
            "a figure",
            "Fill in what is missing, or point the formula to the cell that was meant.",
            fact(f"{error}{cause}" + ("; the price depends on it" if on_path else "")),
            severity=CHECK.severity if on_path else Severity.LOOK_AT_IT,
            alike=f"{error}",
            explained_by=_causes(view, cell),
        )


def _is_value(error: ErrorValue) -> bool:
    return error is ErrorValue.VALUE


def _causes(view: BookView, cell: Address) -> set[Address]:
    """A finding on the formula itself or on a cell that it reads explains the error."""
    return set(view.links.precedents(cell)) | {cell}
