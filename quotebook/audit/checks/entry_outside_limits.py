"""An entry is not one that the input takes.

What it finds
    Numbers below or above the limits of their input, fractions where whole numbers belong, and words that are not on
    the list.

Why it costs money
    Pasting goes past the drop-down lists and limits. A scrap share of 5 means 500 %; a misspelt rate finds no row.

Faulty
    Scrap  5

Sound
    Scrap  5 %

How to mend
    Type what the input takes; its limits are given as expected.

False alarms
    Lists that are open (material) take other words; those are not reported.

Source
    Catalogue rows S13, V15, V24 and V34; fault kinds "percent slip" and "fat finger".
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.entries import entries
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.template.spec import FieldSpec
from quotebook.values import Value
from quotebook.workbook.validation import allowed_words

CHECK = Check(
    "entry-outside-limits", Severity.PROBABLY_WRONG, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP,
    ("S13", "V15", "V24", "V34"),
)  # fmt: skip
_WHOLE = ("pieces", "count", "days")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    # What makes a valid job and shop profile all the same breaks a rule of the sheet and no rule of pricing.
    harmless = None if view.job is None or view.shop is None else Severity.LOOK_AT_IT
    for entry in entries(view):
        reason = _reason(view, entry.placed.field, entry.value)
        if reason:
            meant = _meant(entry.placed.field, entry.value)
            yield tell(
                view, CHECK, entry.address, shown(entry.value), allowed_words(entry.placed.field),
                "Type what the input takes.", by_contract(reason), severity=harmless,
                put_right={} if meant is None else {entry.address: meant},
            )  # fmt: skip


def _reason(view: BookView, field: FieldSpec, value: Value) -> str:
    if isinstance(value, str):
        return _not_on_list(view, field, value)
    if not isinstance(value, float):
        return ""
    if field.type in ("text", "long text", "choice", "yesno", "date"):
        return ""
    if field.minimum is not None and value < field.minimum:
        return f"below {field.minimum:g}"
    if field.above is not None and value <= field.above:
        return f"not above {field.above:g}"
    if field.maximum is not None and value > field.maximum:
        return f"above {field.maximum:g}"
    if field.below is not None and value >= field.below:
        return f"not below {field.below:g}"
    return "no whole number" if field.type in _WHOLE and value != int(value) else ""


def _meant(field: FieldSpec, value: Value) -> float | None:
    """Return the number that a usual slip explains: a percent without its sign, a whole number with its point wrong."""
    if not isinstance(value, float) or value <= 0:
        return None
    meant = value / 100 if field.type == "share" and value > 1 else value * 10 if field.type in _WHOLE else None
    if meant is None or (field.type in _WHOLE and meant != round(meant)):
        return None
    low = max(field.minimum or 0.0, field.above or 0.0)
    high = min(limit for limit in (field.maximum, field.below, math.inf) if limit is not None)
    return meant if low <= meant <= high else None


def _not_on_list(view: BookView, field: FieldSpec, value: str) -> str:
    words: list[str] = ["yes", "no"] if field.type == "yesno" else list(field.choices)
    if field.choices_from and not field.open_choice:
        column = view.field(field.choices_from)
        if column is None:
            return ""
        listed = [view.field_value(field.choices_from, row) for row in range(column.rows)]
        words = [shown(one).strip('"') for one in listed if one not in (None, "")]
    if not words or value.strip().casefold() in {word.casefold() for word in words}:
        return ""
    return "not on the list of " + ", ".join(words[:8])
