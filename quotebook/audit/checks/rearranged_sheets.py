"""Sheets were added, renamed or put in another order.

What it finds
    Sheets that the workbook was not made with, and sheets with another title or place than as made. All of them are
    understood: fields are found by their names.

Why it costs money
    It does not by itself. Figures on an added sheet are not part of the price, though people may think they are.

Faulty
    Job | Stock | Notes | Routing

Sound
    Job | Stock | Routing

How to mend
    Nothing need be done. See that no cost stands on an added sheet alone.

False alarms
    A sheet of notes is harmless; that is why this is a remark.

Source
    Catalogue row S4 (renamed, re-ordered, added).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView
from quotebook.workbook.contract import contract_sheet

CHECK = Check("rearranged-sheets", Severity.REMARK, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.BENT_RULE, ("S4",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    assert view.contract is not None, "the check needs a contract"
    assert view.places is not None, "a contract is always located"
    titles = view.places.titles
    own = contract_sheet(view.snapshot)
    known = {*titles.values(), own.title if own is not None else ""}
    now = [sheet.title for sheet in view.snapshot.sheets]
    made = dict.fromkeys(placed.sheet for placed in view.contract.fields.values())
    told = [f"added: {title}" for title in now if title not in known]
    told += [f"renamed: {old} is now {new}" for old, new in titles.items() if old != new]
    order = [titles[title] for title in made if title in titles]
    if order != [title for title in now if title in order]:
        told.append("another order")
    if told:
        yield tell(
            view, CHECK, None, "; ".join(told), "the sheets as made",
            "Nothing need be done; see that no cost stands on an added sheet alone.",
            by_contract("fields are found by their names, so the price is not affected"),
        )  # fmt: skip
