"""An entry is of another kind than its input: text where a number belongs, a number where a date belongs.

What it finds
    Input cells for numbers or dates that hold text (also numbers written as text, and with a decimal comma), logical
    values or errors, and dates that no calendar has. Formulas typed into input cells are told as a lesser finding.

Why it costs money
    Sums pass over text without a word: the line costs nothing, or the whole price becomes an error.

Faulty
    Cycle  '12,5

Sound
    Cycle  12.5

How to mend
    Type the number again; if it stays at the left of the cell, set the cell's format to a number first.

False alarms
    Part numbers, revisions and names are text on purpose; those inputs take text and are not looked at.

Source
    Catalogue row S19; fault kind "number as text".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.entries import Entry, entries
from quotebook.audit.finding import Check, Evidence, Finding, Kind, Mended, Need, Proof, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.values import Address, ErrorValue
from quotebook.workbook.validation import allowed_words

CHECK = Check(
    "wrong-kind-of-entry", Severity.PROBABLY_WRONG, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("S19",)
)
_TEXTS = ("text", "long text", "choice", "yesno")
#: Day numbers of the years 1950 to 2200; a date outside is a slip.
_DAYS = (18264.0, 109574.0)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per entry."""
    for entry in entries(view):
        field = entry.placed.field
        if view.formula(entry.address) is not None:
            yield tell(
                view, CHECK, entry.address, view.content(entry.address), "a typed value",
                "Type the value, unless the formula is meant.", by_contract(f"{entry.name} is an input"),
                severity=Severity.LOOK_AT_IT, alike="formula",
            )  # fmt: skip
            continue
        reason = _reason(entry)
        if reason:
            number = _number(entry.value) if isinstance(entry.value, str) else None
            put_right: dict[Address, Mended] = {} if number is None else {entry.address: number}
            wanted = allowed_words(field) or "a date"
            yield tell(
                view, CHECK, entry.address, shown(entry.value), wanted if number is None else f"{number:.10g}",
                "Type the number again as a number.",
                by_contract(f"{entry.name} takes {'a date' if field.type == 'date' else 'a number'}"),
                Evidence(Proof.VALUE, reason), put_right=put_right,
            )  # fmt: skip


def _reason(entry: Entry) -> str:
    kind, value = entry.placed.field.type, entry.value
    if isinstance(value, ErrorValue):
        return "it holds an error"
    if kind in _TEXTS:
        return ""
    if isinstance(value, bool):
        return "it holds a logical value"
    if isinstance(value, str):
        return "it holds a number as text" if _number(value) is not None else "it holds text"
    if kind == "date" and isinstance(value, float) and not _DAYS[0] <= value <= _DAYS[1]:
        return "no date between 1950 and 2200"
    return ""


def _number(text: str) -> float | None:
    """Return the number that a text means: with a point or a comma, spaces and a percent sign allowed; else None."""
    plain = text.strip().replace("\u00a0", "").replace(" ", "").lstrip("'")
    share = plain.endswith("%")
    plain = plain.rstrip("%")
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    if not plain or not plain.lstrip("+-").replace(".", "", 1).isdecimal():
        return None
    return float(plain) / (100 if share else 1)
