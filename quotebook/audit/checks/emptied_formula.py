"""A cell that should calculate something is empty.

What it finds
    Blank cells of formula fields and of counts of the Start sheet.

Why it costs money
    An empty cell counts as nothing: its line of cost is missing from the price.

Faulty
    setup hours  1.5 | run hours  2.5 | lot hours

Sound
    setup hours  1.5 | run hours  2.5 | lot hours  =B4+B5

How to mend
    Copy the formula back from a neighbouring row or lot, or type the one given as expected.

False alarms
    A row that somebody inserted and left blank has no formulas and needs none; it is not reported.

Source
    Catalogue row S3; published fault operator: formula deleted.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView, shown
from quotebook.engine.normal import normal_form

CHECK = Check("emptied-formula", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, ("S3",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per cell; neighbours of one formula are folded to one."""
    for broken in promised(view).broken:
        if view.formula(broken.address) is not None or view.stored(broken.address) is not None:
            continue
        formula = broken.expected.removeprefix("=")
        due = view.what_if.results({broken.address: Formula(formula)}, [broken.address])[0]
        yield tell(
            view, CHECK, broken.address, "", broken.expected,
            "Put the formula back.",
            by_contract(f"{broken.field} is a formula"),
            by_value(f"the formula gives {shown(due.value) or 'nothing'}"),
            put_right={broken.address: Formula(formula)},
            if_harmless=Severity.PROBABLY_WRONG,
            alike=normal_form(formula, broken.address),
            field=broken.field,
        )  # fmt: skip
