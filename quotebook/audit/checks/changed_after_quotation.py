"""The workbook was saved after its quotation date, with a price that was not calculated anew.

What it finds
    Workbooks with a quotation number that were last saved after the quotation date while stored results are stale.

Why it costs money
    The printed quotation and the workbook tell two prices, and the next person to open it quotes a third.

Faulty
    quotation of 1 March | saved 9 March | stored results older than the inputs

Sound
    quotation of 9 March | saved 9 March | calculated

How to mend
    Calculate, compare with the quotation that was sent, and send a new one if the price is another.

False alarms
    Entering actuals after the job saves the workbook again; without stale results that is not reported.

Source
    Catalogue row T6.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from quotebook.audit.at_field import by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView

CHECK = Check("changed-after-quotation", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WILL_GO_WRONG, Kind.STALE, ("T6",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding, at the quotation date."""
    cell, serial = view.field_cell("quote_date"), view.field_number("quote_date")
    saved = view.snapshot.properties.get("modified", "")[:10]
    stale = [one for one in view.stale_cells if view.is_on_price_path(one)]
    if cell is None or serial is None or not stale or not view.field_value("quote_number"):
        return
    try:
        zero = date(1904, 1, 1) if view.snapshot.calculation.date1904 else date(1899, 12, 30)
        quoted, last = zero + timedelta(days=int(serial)), date.fromisoformat(saved)
    except (ValueError, OverflowError):
        return
    if last > quoted:
        yield tell(
            view, CHECK, cell, f"quotation of {quoted}, saved {last}", "a quotation not older than its workbook",
            "Calculate, compare with the quotation that was sent, and send a new one if the price is another.",
            by_value(f"{len(stale)} stored results on the way to the price are stale"),
        )  # fmt: skip
