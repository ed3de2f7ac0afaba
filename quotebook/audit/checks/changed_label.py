"""A label, heading or unit does not say what it said.

What it finds
    Labels, headings, units and lines of text that differ from those the workbook was made with and stand nowhere else
    on the sheet.

Why it costs money
    People type what the label asks for. "minutes" that now says "hours" multiplies the next entry by 60.

Faulty
    Cycle | hours

Sound
    Cycle | minutes

How to mend
    Put the words back as given as expected.

False alarms
    Labels translated into another language on purpose. Only units and headings of units are told as graver.

Source
    Catalogue row S18.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Formula, Kind, Mended, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView

CHECK = Check("changed-label", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S18",))
_UNITS = ("unit", "column unit")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per text; the looks that tell states belong to another check."""
    for broken in promised(view).broken_others:
        look = broken.other.look
        if look in ("state", "status"):
            continue
        formula = broken.expected.startswith("=") and broken.other.is_formula
        mended: Mended = Formula(broken.expected[1:]) if formula else broken.expected
        yield tell(
            view, CHECK, broken.address, broken.found, broken.expected, "Put the words back.",
            by_contract(f"{look} of {broken.other.anchor}"),
            severity=Severity.PROBABLY_WRONG if look in _UNITS and broken.found else None,
            put_right={broken.address: mended}, if_harmless=None,
            field=broken.other.anchor, alike=broken.expected if formula else "",
        )  # fmt: skip
