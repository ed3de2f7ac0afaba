"""Iteration is switched on, so that circular formulas go unnoticed.

What it finds
    The calculation option that lets formulas need their own result.

Why it costs money
    A slip that makes a loop is then solved silently to some number instead of being reported.

Faulty
    Calculation: iterate

Sound
    Calculation: no iteration

How to mend
    Switch iteration off in the calculation options; mend the loops that then show.

False alarms
    The option is inherited from the first workbook opened in a session.

Source
    Catalogue row F22; 5 of 274 measured real workbooks had it.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView

CHECK = Check("iteration-on", Severity.LOOK_AT_IT, ANY, When.WILL_GO_WRONG, Kind.BENT_RULE, rows=("F22",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the workbook."""
    if view.snapshot.calculation.iterate:
        yield told(
            CHECK,
            None,
            "iterative calculation",
            "calculation without iteration",
            "Switch iteration off in the calculation options.",
            fact("loops are not reported while it is on"),
        )
