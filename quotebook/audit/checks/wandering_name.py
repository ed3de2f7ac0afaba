"""A defined name points to another cell than its field's, or to nothing.

What it finds
    Defined names of fields that say another place than the one where the field's label stands, that cover fewer or
    more rows than the other columns of their table, or that are missing or broken (#REF!).

Why it costs money
    Formulas use the name and take whatever stands at the wrong place: the rate of another machine, a blank, a
    heading.

Faulty
    setup_rate = Rates!$C$9     (the label "Setup rate" stands in row 8)

Sound
    setup_rate = Rates!$C$8

How to mend
    Open the list of defined names in the spreadsheet program and set the name to the place given as expected.

False alarms
    Rows inserted and sheets renamed move names along with their cells and are not reported. If a label was retyped and
    another cell carries the old words, the name is told to have wandered.

Source
    Catalogue row S5; fault kind "wandering name".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView
from quotebook.values import Address
from quotebook.workbook.located import parse_reference

CHECK = Check("wandering-name", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.POINTING, ("S5",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per name, at the cell where its field is."""
    assert view.places is not None, "a contract is always located"
    for one in view.places.wandered:
        place = parse_reference(one.expected)
        assert place is not None, "expected texts are references"
        yield tell(
            view, CHECK, Address(place[0], place[1], place[2]),
            f"{one.name} = {one.found}" if one.found else f"no name {one.name}",
            f"{one.name} = {one.expected}",
            "Set the defined name to the place given as expected.",
            by_contract(f"the label of {one.field} stands at {one.expected}"),
            put_right_names={(None, one.name): one.expected},
            if_harmless=Severity.PROBABLY_WRONG,
            field=one.field,
        )  # fmt: skip
    for name, text in view.places.located.lost.items():
        yield tell(
            view, CHECK, None, f"{name} = {text}" if text else f"no name {name}", f"a name for the field {name}",
            "Take the field's cells and its name from an earlier copy of the workbook.",
            by_contract("neither the name nor the label of the field is found"),
            field=name,
        )  # fmt: skip
