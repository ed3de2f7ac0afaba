"""A cycle does not go with its own best and worst case.

What it finds
    Operations whose cycle lies outside of the two times given for good and bad luck, or nearer to the worst than to the
    best; and, where the other rows take fixed shares of the cycle for both, a row that does not.

Why it costs money
    All three times are typed. A slip in one of them is a slip in every piece, and the other two still know better.

Faulty
    cycle 61 min   if all goes well 5.2 min   if it goes badly 7.9 min

Sound
    cycle 6.1 min   if all goes well 5.2 min   if it goes badly 7.9 min

How to mend
    Compare the three times with the paper that they came from.

False alarms
    Times are mostly estimated as "a little less, or much more"; an estimate the other way round is unusual, not wrong
    (common practice, no source). Somebody may depart from fixed shares in one row on purpose.

Source
    Catalogue rows V4, V5 and V31; fault kinds "fat finger" and "unit slip".
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median
from typing import NamedTuple

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Evidence, Finding, Kind, Mended, Need, Severity, When
from quotebook.audit.slips import by_factor, rounded_like
from quotebook.audit.view import BookView, shown
from quotebook.values import Address

CHECK = Check(
    "cycle-outside-range", Severity.LOOK_AT_IT, (Need.CONTRACT, Need.RECOMPUTED), When.WRONG_NOW, Kind.HAND_SLIP,
    ("V4", "V5", "V31"),
)  # fmt: skip
#: The cycle may lie up to this share of the way from the best to the worst case.
FARTHEST = 0.55
#: Shares of the cycle are the same when they differ by less than this; typed times are rounded.
ALIKE = 0.03
#: So many other rows must take the same shares before a row that does not is told.
FEWEST = 3


class Times(NamedTuple):
    """Best, likely and worst minutes of an operation; ``row`` counted from 0."""

    row: int
    low: float
    likely: float
    high: float

    @property
    def in_order(self) -> bool:
        """Tell whether the likely time lies between the two others."""
        return self.low <= self.likely <= self.high


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding per operation."""
    rows = [times for row in rows_of(view, "operation_number") if (times := _times(view, row)) is not None]
    for times in rows:
        found = _against_shares(view, times, [other for other in rows if other is not times])
        found = found or _against_its_range(view, times)
        if found is not None:
            yield found


def _times(view: BookView, row: int) -> Times | None:
    low, high = view.field_number("low_cycle_minutes", row), view.field_number("high_cycle_minutes", row)
    # What is typed, where something is: that the cycle used is another one is not this check's affair.
    likely = view.field_number("cycle_minutes", row) or view.field_number("cycle_used", row)
    return Times(row, low, likely, high) if low and likely and high else None


def _against_shares(view: BookView, times: Times, others: Sequence[Times]) -> Finding | None:
    """Compare a row with the shares of the cycle that the other rows take."""
    low, high = _habit([one.low / one.likely for one in others]), _habit([one.high / one.likely for one in others])
    if low is None or high is None:
        return None
    low_fits, high_fits = _alike(times.low / times.likely, low), _alike(times.high / times.likely, high)
    if low_fits and high_fits:
        return None
    if low_fits or high_fits:
        name, wanted = (
            ("low_cycle_minutes", times.likely * low) if high_fits else ("high_cycle_minutes", times.likely * high)
        )
    elif _alike(times.high / times.low, high / low):
        name, wanted = "cycle_minutes", times.low / low
    else:
        return None
    reason = f"the other {len(others)} rows take {low:.0%} and {high:.0%} of the cycle"
    return _told(view, times, name, wanted, by_value(reason))


def _habit(shares: Sequence[float]) -> float | None:
    """Return the share that (nearly) all rows take, None where there is none."""
    if len(shares) < FEWEST:
        return None
    middle = median(shares)
    return middle if sum(_alike(share, middle) for share in shares) * 5 >= len(shares) * 4 else None


def _alike(one: float, other: float) -> bool:
    return abs(one / other - 1) <= ALIKE


def _against_its_range(view: BookView, times: Times) -> Finding | None:
    """Compare a row with its own three times."""
    _, low, likely, high = times
    if not times.in_order:
        if low <= high:
            right = by_factor(likely, low, high)
            return _told(view, times, "cycle_minutes", right, by_value("it lies outside of its own range"))
        name = "low_cycle_minutes" if likely <= high else "high_cycle_minutes"
        return _told(view, times, name, None, by_value("the best case is longer than the worst"))
    if high > low and (likely - low) / (high - low) > FARTHEST:
        reason = "it lies nearer to the worst case than to the best; times are mostly estimated the other way round"
        return _told(view, times, "cycle_minutes", None, by_value(reason))
    return None


def _told(view: BookView, times: Times, name: str, wanted: float | None, reason: Evidence) -> Finding | None:
    typed = view.field_number("cycle_minutes", times.row) is not None
    # A cycle from the Cutting sheet is no entry: what it differs from may be out of date, and neither is a slip.
    cell = view.field_cell("cycle_used" if name == "cycle_minutes" and not typed else name, times.row)
    if cell is None:
        return None
    right = rounded_like(wanted) if wanted is not None and cell in view.book.inputs else None
    is_cycle = name == "cycle_minutes"
    expected = f"between {shown(times.low)} and {shown(times.high)} min" if is_cycle else "the cycle's range"
    put_right: dict[Address, Mended] = {} if right is None else {cell: right}
    return tell(
        view, CHECK, cell, f"{shown(times.low)}, {shown(times.likely)} and {shown(times.high)} min",
        f"about {shown(right)} min" if right is not None else expected,
        "Compare the three times with the paper that they came from.", reason,
        by_contract("best, likely and worst time of one cycle"),
        severity=CHECK.severity if times.in_order or not typed else Severity.PROBABLY_WRONG, put_right=put_right,
    )  # fmt: skip
