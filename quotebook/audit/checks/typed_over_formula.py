"""A figure stands where the workbook has a formula.

What it finds
    Cells of formula fields, and counts of the Start sheet, that hold a typed constant in place of their formula.

Why it costs money
    The cell has stopped following its inputs. Change the lot size and every other figure moves; this one stays as it
    was, and nothing on the sheet shows it.

Faulty
    setup hours  1.5 | run hours  2.5 | lot hours  4

Sound
    setup hours  1.5 | run hours  2.5 | lot hours  =B4+B5

How to mend
    Copy the formula back from a neighbouring row or lot, or type the one given as expected. A figure of your own
    belongs in an input cell: most worked-out figures have an input that overrules them.

False alarms
    None known: formula cells are locked, and what may be overruled has an input cell of its own.

Source
    Catalogue row S1; fault kinds "frozen figure" and "wrong frozen figure" (a published fault operator: formula
    replaced by its constant result).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView, shown
from quotebook.engine.normal import normal_form

CHECK = Check("typed-over-formula", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("S1",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per cell, in the contract's order."""
    for broken in promised(view).broken:
        value = view.stored(broken.address)
        if view.formula(broken.address) is not None or value is None:
            continue
        formula = broken.expected.removeprefix("=")
        due = view.what_if.results({broken.address: Formula(formula)}, [broken.address])[0]
        yield tell(
            view, CHECK, broken.address, shown(value), broken.expected,
            "Put the formula back; a figure of your own belongs in an input cell.",
            by_contract(f"{broken.field} is a formula"),
            by_value(f"the formula gives {shown(due.value) or 'nothing'}"),
            put_right={broken.address: Formula(formula)},
            if_harmless=Severity.PROBABLY_WRONG,
            alike=normal_form(formula, broken.address),
            field=broken.field,
        )  # fmt: skip
