"""A program that saved the workbook left out what it does not know.

What it finds
    Workbooks of ours in which no input has a rule any more, or no cell a colour rule, and the program that saved them.

Why it costs money
    Nothing on the sheet warns of a wrong entry any more, and nobody took the warnings away on purpose.

Faulty
    no colour rules, saved by a phone's viewer

Sound
    all rules there, whoever saved it

How to mend
    Carry the inputs over into a new workbook: quotebook new FRESH.xlsx --like FILE

False alarms
    Somebody may have taken away all rules by hand.

Source
    Catalogue row H22.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, fact, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.rules_held import wanted_rule
from quotebook.audit.view import BookView

CHECK = Check("dropped-features", Severity.REMARK, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.FILE, ("H22",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    assert view.located is not None, "a contract is always located"
    sheets = view.snapshot.sheets
    fields = [placed.field for placed in view.located.fields.values()]
    lost = []
    if any(one.is_input and wanted_rule(one) is not None for one in fields):
        lost += [] if any(sheet.validations for sheet in sheets) else ["rules of inputs"]
    if any(one.emphasis == "state" for one in fields):
        lost += [] if any(sheet.conditional_formats for sheet in sheets) else ["colour rules"]
    if lost:
        program = view.snapshot.properties.get("Application", "") or "a program that does not say its name"
        yield tell(
            view, CHECK, None, f"no {' and no '.join(lost)}", "the rules that it was made with",
            "Carry the inputs over into a new workbook (quotebook new --like).",
            fact(f"last saved by {program}"), by_contract("the workbook was made with them"),
        )  # fmt: skip
