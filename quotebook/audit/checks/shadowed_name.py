"""A sheet has its own name of the same words as a field.

What it finds
    Defined names of a single sheet that are spelt like a field's name of the whole workbook.

Why it costs money
    Formulas on that sheet silently use the sheet's own name in place of the field's: two answers to one question.

Faulty
    profit_share = Rates!$B$30 (workbook) and profit_share = Price!$H$2 (sheet Price)

Sound
    profit_share = Rates!$B$30 (workbook)

How to mend
    Delete the sheet's own name in the list of defined names. Copying a sheet from another workbook brings such names
    along.

False alarms
    Print areas and other built-in names are not looked at.

Source
    Catalogue row S6; fault kind "wandering name" (shadowed).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView
from quotebook.template.references import lot_name
from quotebook.values import Address
from quotebook.workbook.located import parse_reference

CHECK = Check("shadowed-name", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.POINTING, ("S6",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per sheet's own name, at the cell it points to where it points to one."""
    assert view.contract is not None, "the check needs a contract"
    own = set(view.contract.checks)
    for name, placed in view.contract.fields.items():
        lots = range(placed.columns) if placed.shape == "lot column" else ()
        own |= {name, *(lot_name(name, lot) for lot in lots)}
    for defined in view.snapshot.names:
        if defined.sheet is None or defined.name.casefold() not in own:
            continue
        place = parse_reference(defined.text)
        yield tell(
            view, CHECK, Address(*place[:3]) if place else None,
            f"{defined.name} = {defined.text} on the sheet {defined.sheet}", "no such name on a single sheet",
            "Delete the sheet's own name.",
            by_contract("the name belongs to a field of the whole workbook"),
            put_right_names={(defined.sheet, defined.name): None},
            if_harmless=Severity.PROBABLY_WRONG,
            field=defined.name,
        )  # fmt: skip
