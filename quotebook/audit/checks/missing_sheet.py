"""A sheet that the estimate needs is gone.

What it finds
    Sheets of the workbook as made whose fields are found nowhere any more. A renamed or moved sheet is not missing.

Why it costs money
    Whatever the sheet held (rates, operations, purchases) is no longer in the price.

Faulty
    Job | Stock | Buyouts | Price            (no Routing)

Sound
    Job | Stock | Buyouts | Routing | Price

How to mend
    Take the sheet from an earlier copy of the workbook, or make a new workbook from this one's inputs
    (quotebook new NEW.xlsx --like OLD.xlsx) and fill in what was lost.

False alarms
    None known.

Source
    Catalogue row S4 (missing).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView

CHECK = Check("missing-sheet", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, ("S4",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per missing sheet."""
    assert view.contract is not None, "the check needs a contract"
    assert view.places is not None, "a contract is always located"
    promised = dict.fromkeys(placed.sheet for placed in view.contract.fields.values())
    for title in promised:
        if title in view.places.titles:
            continue
        fields = [name for name, placed in view.contract.fields.items() if placed.sheet == title]
        yield tell(
            view, CHECK, None, f"no sheet {title!r}", f"the sheet {title!r} with its {len(fields)} fields",
            "Take the sheet from an earlier copy, or make a new workbook like this one.",
            by_contract(f"none of its fields is left, for example {fields[0]}"),
        )  # fmt: skip
