"""Stored results are older than the inputs: the file shows a price that its own formulas do not give.

What it finds
    Formula cells whose stored result differs from the recomputed one, and on which other stored results were built.
    They are told as one finding, at the first of them, with the price as stored and as recomputed. Where another
    finding tells what was changed there (a formula, a typed-over cell), that one stays and old results are evidence of
    it. A finding about an entry of our own workbooks does not do that: it says nothing of the old price.

Why it costs money
    Whoever opens the file in a preview, on a phone, or with calculation switched off sees, and quotes, the old price.

Faulty
    cycle 14 (was 12) | run hours =B4*C4/60 stored as 20

Sound
    cycle 14 | run hours =B4*C4/60 stored as 23.33

How to mend
    Open the file in the spreadsheet program, let it calculate (F9), and save; or write a copy with fresh results:
    quotebook recompute FILE --save-as COPY.xlsx

False alarms
    Results that change by themselves (today's date), that cannot be recomputed, and errors of another kind are left
    out. "Precision as displayed" makes stored results differ on purpose; the evidence says when it is on.

Source
    Catalogue rows T1 and T5; fault kind "stale price".
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from quotebook.audit.at_field import by_value, fact, tell
from quotebook.audit.finding import ANY, Check, Evidence, Finding, Kind, Severity, When
from quotebook.audit.stale import stale
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check("stale-result", Severity.DO_NOT_QUOTE, ANY, When.WRONG_NOW, Kind.STALE, ("T1", "T5"))
#: Roots that the evidence names.
MOST_ROOTS = 5


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding for the workbook."""
    sorted_out = stale(view)
    if not sorted_out.asleep:
        return
    roots = sorted_out.roots or sorted_out.asleep[:1]
    first = next((root for root in roots if view.is_on_price_path(root)), roots[0])
    effect, evidence = _price(view)
    others = [str(root) for root in roots if root != first][:MOST_ROOTS]
    evidence.append(by_value(f"{len(sorted_out.asleep)} stored results differ from what their formulas give"))
    if others:
        evidence.append(by_value(f"further first ones: {', '.join(others)}"))
    evidence.extend(_settings(view))
    on_path = any(view.is_on_price_path(cell) for cell in sorted_out.asleep)
    harmless = Severity.PROBABLY_WRONG if on_path else Severity.LOOK_AT_IT
    yield tell(
        view, CHECK, first, shown(view.stored(first)), shown(view.value(first)),
        "Open the file in the spreadsheet program, let it calculate, and save.", *evidence,
        severity=CHECK.severity if effect != 0 and on_path else harmless, effect=effect,
        explained_by={*roots, *_behind(view, roots)},
    )  # fmt: skip


def _behind(view: BookView, roots: Iterable[Address]) -> Iterator[Address]:
    """Yield what the first stale cells read, but for inputs: correcting an entry leaves results as old."""
    for root in roots:
        for cell in view.links.precedents(root):
            place = view.fields_at.get(cell)
            if place is None or not place.placed.field.is_input:
                yield cell


def _price(view: BookView) -> tuple[float | None, list[Evidence]]:
    """Return by how much the price moves when the workbook is calculated, and a sentence about it."""
    effect: float | None = 0.0 if view.price_cells else None
    for cell in view.price_cells:
        was, now = view.stored(cell.address), view.number(cell.address)
        if cell.address not in view.book.formulas or was == now:
            continue
        if not isinstance(was, float) or now is None:
            return None, [fact(f"{cell.what}: stored {shown(was)}, recomputed {shown(now)}")]
        if abs(now - was) > 1e-9 * max(1.0, abs(now)):
            return now - was, [fact(f"{cell.what}: stored {was:,.2f}, recomputed {now:,.2f}")]
    return effect, []


def _settings(view: BookView) -> Iterator[Evidence]:
    settings = view.snapshot.calculation
    if settings.mode == "manual":
        yield fact("calculation is set to manual")
    if not settings.full_precision:
        yield by_value("'precision as displayed' is on, which rounds stored results on purpose")
    if settings.full_calc_on_load:
        yield by_value("the file asks to be calculated when it is opened: its results are provisional")
