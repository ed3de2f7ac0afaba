"""A hidden row, column or sheet carries value into the price.

What it finds
    Figures in hidden rows or columns that sums on show count, and hidden sheets that the price depends on.

Why it costs money
    Nobody sees the line any more: it is in the price of every quote made from the copy, or its rates are years old.

Faulty
    row 8 "Old fixture" 350 is hidden, the total is =SUM(E5:E12)

Sound
    all lines that count are on show

How to mend
    Show the row; delete it if it is not meant to count.

False alarms
    Helper sheets and constants are often hidden on purpose; they are only to be looked at.

Source
    Catalogue row F42; 7 of 274 measured real workbooks hide a sheet, 23 hide rows.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Span, a1, shown
from quotebook.audit.telling import fact, label, on, shape, told, value
from quotebook.audit.totals import totals_of
from quotebook.audit.view import BookView
from quotebook.values import Address
from quotebook.workbook.snapshot import Sheet

CHECK = Check(
    "hidden-value", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.BENT_RULE, rows=("F42",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each hidden line in a sum, and one for each hidden sheet or stretch on the price path."""
    facts = foreign(view)
    for sheet in view.snapshot.sheets:
        if sheet.state != "visible":
            yield from _sheet(view, sheet)
            continue
        yield from _hidden_terms(view, facts, sheet)
        yield from _others(view, facts, sheet)


def _sheet(view: BookView, sheet: Sheet) -> Iterator[Finding]:
    on_path = [cell for cell in view.price_path if cell.sheet == sheet.title]
    deep = sheet.state == "veryHidden"
    if not on_path and not deep:
        return
    cells = sorted(on_path)
    yield told(
        CHECK,
        cells[0] if cells else Address(sheet.title, 1, 1),
        f"the sheet {sheet.title} is {'hidden so that the program does not list it' if deep else 'hidden'}",
        "sheets that the price depends on are on show",
        "Show the sheet and look at its figures; hide it again if they are right.",
        fact(f"{len(on_path)} of its cells are read on the way to the price"),
        severity=Severity.LOOK_AT_IT if on_path else Severity.REMARK,
    )


def _is_hidden(sheet: Sheet, cell: Address) -> bool:
    return cell.row in sheet.hidden_rows or cell.column in sheet.hidden_columns


def _hidden_terms(view: BookView, facts: Foreign, sheet: Sheet) -> Iterator[Finding]:
    told_of: set[Address] = set()
    for total in totals_of(view).all:
        if total.span.sheet != sheet.title or total.function == "SUBTOTAL" or _is_hidden(sheet, total.cell):
            continue
        cells = list(total.span.cells())
        shown_cells = [cell for cell in cells if not _is_hidden(sheet, cell)]
        for cell in cells:
            number = facts.grid.number(cell)
            if cell in told_of or not number or not _is_hidden(sheet, cell) or not shown_cells:
                continue
            told_of.add(cell)
            on_path = view.is_on_price_path(total.cell)
            named = str(facts.labels.of(cell))
            yield told(
                CHECK,
                cell,
                f"{shown(number)} in a hidden line" + (f' ("{named}")' if named else ""),
                "a line on show, or none",
                "Show the line; delete it if it is not meant to count.",
                shape(f"{on(total.cell, sheet.title)} counts it with {len(shown_cells)} lines on show"),
                value(f"it adds {shown(number)}"),
                severity=CHECK.severity if on_path else Severity.LOOK_AT_IT,
                put_right={cell: None},
            )


def _others(view: BookView, facts: Foreign, sheet: Sheet) -> Iterator[Finding]:
    """Tell of hidden inputs on the price path once for a sheet: often meant, still to be known."""
    counted = {cell for total in totals_of(view).all for cell in total.span.cells()}
    lines = {each.row for each in counted if each.sheet == sheet.title and _is_hidden(sheet, each)}
    cells = sorted(
        cell
        for cell in view.price_path
        if cell.sheet == sheet.title
        and _is_hidden(sheet, cell)
        and cell.row not in lines
        and facts.grid.is_constant_number(cell)
    )
    if cells:
        names = ", ".join(f"{a1(cell)} = {shown(facts.grid.value(cell))}" for cell in cells[:5])
        yield told(
            CHECK,
            Span(sheet.title, cells[0].row, cells[0].column, cells[0].row, cells[0].column),
            f"hidden figures that the price depends on: {names}",
            "figures on show",
            "Show them once and see whether they still hold.",
            fact(f"{len(cells)} typed figure(s) in hidden rows or columns"),
            label(str(facts.labels.of(cells[0])) or "no label"),
            severity=Severity.LOOK_AT_IT,
        )
