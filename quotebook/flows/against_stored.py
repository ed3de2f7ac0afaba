"""The results stored in a file against the recomputed ones, cell by cell."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping

from quotebook.engine.agreement import Verdict, compare
from quotebook.engine.book import Evaluation, Result, Status
from quotebook.flows.field_view import field_names
from quotebook.flows.opening import Opened
from quotebook.flows.recomputed import Disagreement, Recomputed, Unknown
from quotebook.values import Address, Value
from quotebook.workbook.changes import Change, NewResult
from quotebook.workbook.contract import contract_sheet
from quotebook.workbook.snapshot import Cell

_NUMBER_AS_TEXT = re.compile(r"\s*[-+]?(\d+([.,]\d*)?|[.,]\d+)\s*%?\s*")
_MOST_CELLS = 5

AGREES = "agrees"
DIFFERS = "differs"
OTHER_ERROR = "another kind of error"
VOLATILE = "changes with the day"
NOTHING_STORED = "no stored result"
NUMBER_AS_TEXT = "number as text"
STATUSES = (
    AGREES,
    DIFFERS,
    OTHER_ERROR,
    Status.NOT_EVALUATED.value,
    Status.DEPENDS_ON_NOT_EVALUATED.value,
    VOLATILE,
    NOTHING_STORED,
    NUMBER_AS_TEXT,
)


def not_evaluated(opened: Opened, evaluation: Evaluation) -> Iterator[Unknown]:
    """Yield every formula cell whose result is not known, with its formula and the reason."""
    if evaluation.evaluated == len(evaluation.results):
        return
    fields = field_names(opened)
    for address, result in evaluation.results.items():
        if result.status is not Status.EVALUATED:
            formula = "=" + opened.book.formulas.get(address, "")
            yield Unknown(str(address), fields.get(address, ""), formula, result.reason)


def against_stored(opened: Opened, evaluation: Evaluation, out: Recomputed) -> None:
    """Compare every stored result with the recomputed one; fill in disagreements, statuses and what is unknown.

    A result that changes with the day is counted and not compared. A missing stored result is unknown, not agreement.
    """
    counts: Counter[str] = Counter()
    fields: Mapping[Address, str] | None = None
    cells = {sheet.title: sheet.cells for sheet in reversed(opened.snapshot.sheets)}
    agree = 0
    for address, result in evaluation.results.items():
        cell = cells[address[0]].get(address[1:])
        stored = cell.value if cell is not None else None
        # Nearly all of them agree to the letter: that is told without the finer rules.
        if (
            stored is not None
            and stored == result.value
            and type(stored) is type(result.value)
            and result.status is Status.EVALUATED
            and not result.volatile
        ):
            agree += 1
            continue
        status, stored = _status(result, stored)
        counts[status] += 1
        if status in (AGREES, DIFFERS, OTHER_ERROR):
            out.compared_stored += 1
        if status == DIFFERS:
            fields = field_names(opened) if fields is None else fields
            name, reason = fields.get(address, ""), _stale_reason(opened)
            one = Disagreement("stored and recomputed", str(address), name, stored, result.value, None, reason)
            out.disagreements.append(one)
    counts[AGREES] += agree
    out.compared_stored += agree
    texts = number_texts(opened)
    counts[NUMBER_AS_TEXT] = len(texts)
    out.statuses = {status: counts[status] for status in STATUSES}
    _tell(counts, texts, len(evaluation.results), out)


def _status(result: Result, stored: Value) -> tuple[str, Value]:
    if result.status is not Status.EVALUATED:
        return result.status.value, stored
    if result.volatile:
        return VOLATILE, stored
    if stored is not None and _same_stored(stored, result.value):
        return AGREES, stored
    if stored is None and result.value not in (None, ""):
        return NOTHING_STORED, stored
    if isinstance(stored, str) and isinstance(result.value, str) and stored.strip(" ") == result.value.strip(" "):
        return AGREES, stored  # some programs drop the blanks at the ends of stored texts (LibreOffice 7.4, on opening)
    agreement = compare(text_for_blank(stored), text_for_blank(result.value))
    if agreement.verdict is Verdict.AGREES:
        return AGREES, stored
    return (OTHER_ERROR if agreement.kind == "another error" else DIFFERS), stored


def _tell(counts: Counter[str], texts: list[Address], formulas: int, out: Recomputed) -> None:
    if counts[OTHER_ERROR]:
        out.notes.append(
            f"{counts[OTHER_ERROR]} cells hold another kind of error than recomputed; programs differ there"
        )
    if counts[VOLATILE]:
        out.notes.append(f"{counts[VOLATILE]} results change with the day they are looked at, and were not compared")
    if counts[NOTHING_STORED]:
        reason = (
            f"{counts[NOTHING_STORED]} of {formulas} formulas have no stored result: no spreadsheet program calculated "
            "the file since it was last written; open and save it there, or use --save-as"
        )
        out.unknown.append(Unknown("", "stored results", "", reason))
    if texts:
        shown = ", ".join(map(str, texts[:_MOST_CELLS])) + (", ..." if len(texts) > _MOST_CELLS else "")
        out.notes.append(f"{len(texts)} cells hold a number as text, which sums leave out: {shown}")


def number_texts(opened: Opened) -> list[Address]:
    """Return constants that look like numbers and are text, but for the fields that are meant to be text."""
    fields = opened.located.fields if opened.located is not None else {}
    own = contract_sheet(opened.snapshot)
    suspects = [
        address
        for sheet in opened.snapshot.sheets
        if sheet is not own
        for address in sheet.made_of(_number_texts_in)
        if address in opened.book.inputs
    ]
    names = field_names(opened) if suspects else {}
    found: list[Address] = []
    for address in suspects:
        if opened.contract is not None and (address not in names or fields[names[address]].field.holds_words):
            continue
        found.append(address)
    return found


def _number_texts_in(title: str, cells: Mapping[tuple[int, int], Cell]) -> list[Address]:
    return [
        Address(title, *key)
        for key, cell in cells.items()
        if isinstance(cell.value, str)
        and not cell.value[-1:].isalpha()  # most texts are told apart by it
        and _NUMBER_AS_TEXT.fullmatch(cell.value)
    ]


def text_for_blank(value: Value) -> Value:
    """A formula that gives nothing is stored as an empty text, or not at all, depending on the program."""
    return "" if value is None else value


def _stale_reason(opened: Opened) -> str:
    if opened.snapshot.calculation.mode == "manual":
        return "manual calculation is on: the stored result is older than the inputs"
    if not opened.snapshot.calculation.full_precision:
        return "'precision as displayed' is on: stored results are rounded as shown"
    return "the stored result is older than the inputs, or was edited by hand"


def fresh_results(opened: Opened, evaluation: Evaluation) -> Mapping[Address, Change]:
    """Return the stored results that have to be replaced, so that every one known is the recomputed one."""
    changes: dict[Address, Change] = {}
    for address, result in evaluation.results.items():
        cell = opened.snapshot.cell(address)
        if cell is None or result.status is not Status.EVALUATED:
            continue
        if not _same_stored(cell.value, result.value):
            changes[address] = NewResult(result.value)
    return changes


def _same_stored(stored: Value, fresh: Value) -> bool:
    return type(stored) is type(fresh) and stored == fresh
