"""A formula is not the one that the workbook was made with.

What it finds
    Cells of formula fields, and counts of the Start sheet, whose formula means something else than promised.

Why it costs money
    One reference slipped by a row, one sign turned or one term lost, and every price made from it is wrong by an
    amount that nobody sees.

Faulty
    lot hours  =B4-B5

Sound
    lot hours  =B4+B5

How to mend
    Type the formula given as expected. If the change was meant, change the template, so that the next workbook has
    it too.

False alarms
    Another way of writing the same (spaces, capitals, dollar signs, order of a range's corners, prefixes of newer
    functions) is not reported. A formula of your own that gives the same price is told as a lesser finding.

Source
    Catalogue row S2; published fault operators: reference, operator, function, constant or range replaced.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView, shown
from quotebook.engine.normal import normal_form

CHECK = Check("changed-formula", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.POINTING, ("S2",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per cell; the same change along a row or column is folded to one."""
    for broken in promised(view).broken:
        held = view.formula(broken.address)
        if held is None:
            continue
        formula = broken.expected.removeprefix("=")
        due = view.what_if.results({broken.address: Formula(formula)}, [broken.address])[0]
        now = shown(view.value(broken.address)) if view.known(broken.address) else "an unknown value"
        yield tell(
            view, CHECK, broken.address, f"={held}", broken.expected,
            "Put the promised formula back.",
            by_contract(f"{broken.field} is promised another formula"),
            by_value(f"it gives {now or 'nothing'}, the promised one {shown(due.value) or 'nothing'}"),
            put_right={broken.address: Formula(formula)},
            if_harmless=Severity.PROBABLY_WRONG,
            alike=f"{normal_form(held, broken.address)} for {normal_form(formula, broken.address)}",
            field=broken.field,
        )  # fmt: skip
