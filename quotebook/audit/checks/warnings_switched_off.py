"""The program's own warnings are switched off for cells on the way to the price.

What it finds
    Marks that tell the spreadsheet program not to warn of odd formulas, numbers as text and the like.

Why it costs money
    The warning was right once and somebody clicked it away.

Faulty
    "ignore error" over the amounts

Sound
    no such marks on amounts

How to mend
    Clear the marks and look at what the program then says.

False alarms
    Part numbers kept as text, where the mark is right.

Source
    Catalogue row F54; 17 of 274 measured real workbooks have such marks.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Span
from quotebook.audit.package_facts import package_facts
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.workbook.areas import parse_area

CHECK = Check(
    "warnings-switched-off", Severity.REMARK, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F54",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each marked range that the price depends on."""
    facts = foreign(view)
    for title, ranges in package_facts(view).ignored:
        for text in ranges.split():
            area = parse_area(text)
            if area is None:
                continue
            span = Span(title, *area)
            on_path = [cell for cell in view.price_path if span.holds(cell) and facts.grid.number(cell) is not None]
            if on_path:
                yield told(
                    CHECK,
                    span,
                    f"warnings switched off over {text}",
                    "warnings on",
                    "Clear the marks and look at what the program then says.",
                    fact(f"{len(on_path)} of these cells are read on the way to the price"),
                )
