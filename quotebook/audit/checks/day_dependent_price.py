"""A price changes with the day on which the file is opened.

What it finds
    Price cells that depend on today's date, the present time or random numbers. The price is recomputed for the day
    of the last save and for today, and both are told.

Why it costs money
    The price printed on Monday is not the price in the file on Friday, without anybody having changed anything.

Faulty
    unit price  =B4*(1+0.01*(TODAY()-B2))

Sound
    unit price  =B4*(1+surcharge)

How to mend
    Type the date into an input cell and let the formula use that.

False alarms
    A printed date that no price depends on is not reported.

Source
    Catalogue row T9.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from quotebook.audit.at_field import by_value, fact, tell
from quotebook.audit.finding import ANY, Check, Evidence, Finding, Kind, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check("day-dependent-price", Severity.PROBABLY_WRONG, ANY, When.WILL_GO_WRONG, Kind.STALE, ("T9",))
_VOLATILE = frozenset({"TODAY", "NOW", "RAND", "RANDBETWEEN"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per formula that brings the day into the price."""
    results = view.evaluation.results
    moved = [cell for cell in view.price_cells if cell.address in results and results[cell.address].volatile]
    if not moved:
        return
    path = view.links.ancestors([cell.address for cell in moved])
    for address in sorted(path):
        used = view.links.functions.get(address, frozenset()) & _VOLATILE
        if used:
            yield tell(
                view, CHECK, address, f"={view.formula(address)}", "a date from an input cell",
                "Type the date into an input cell and let the formula use that.",
                fact(f"{moved[0].what} depends on {', '.join(sorted(used))}"), *_then(view),
            )  # fmt: skip


def _then(view: BookView) -> Iterator[Evidence]:
    try:
        saved = datetime.fromisoformat(view.snapshot.properties.get("modified", "").rstrip("Z"))
    except ValueError:
        return
    cell = view.price_cells[0]
    then = view.program.run(view.book.inputs, now=saved).results.get(cell.address)
    if then is not None and then.value != view.value(cell.address):
        yield by_value(f"{shown(then.value)} on the day of the last save, {shown(view.value(cell.address))} today")
