"""Formulas on the way to the price cannot be recomputed here.

What it finds
    Functions and constructs that the evaluator does not know, named with the first cell of each.

Why it costs money
    What depends on them is not judged: neither found right nor found wrong.

Faulty
    =SUMME(E5:E9), =LAMBDA(x,x*2)(B5)

Sound
    formulas of the usual functions

How to mend
    Check these cells by hand, or use other functions.

False alarms
    This is no fault of the workbook unless the function is misspelt or in another language.

Source
    Catalogue rows H13, H14 and H19.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.engine.book import Status
from quotebook.values import Address

CHECK = Check("not-recomputed", Severity.LOOK_AT_IT, ANY, When.WRONG_NOW, Kind.FILE, rows=("H13", "H14", "H19"))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each reason, at its first cell."""
    reasons: dict[str, list[Address]] = {}
    for cell, result in view.evaluation.results.items():
        if result.status is Status.NOT_EVALUATED and not result.reason.startswith("circular reference"):
            reasons.setdefault(result.reason, []).append(cell)
    for reason, cells in reasons.items():
        on_path = any(view.is_on_price_path(cell) for cell in cells)
        yield told(
            CHECK,
            min(cells),
            f"{len(cells)} formula(s) that cannot be recomputed: {reason}",
            "formulas that can be checked",
            "Check these cells by hand; correct the function if it is misspelt.",
            fact("the price depends on them" if on_path else "the price does not depend on them"),
            severity=CHECK.severity if on_path else Severity.REMARK,
        )
