"""A figure of the shop was changed in this job's copy.

What it finds
    Rates, markups, policies, materials and sampling rows that differ from those the workbook was made with.

Why it costs money
    A rate changed in one copy is known to nobody else: the next quotation is priced with another one. If it was a slip
    of the hand, this price is wrong.

Faulty
    Lathe, sell rate  9.50      (made with 95.00)

Sound
    Lathe, sell rate  95.00

How to mend
    If the new figure holds for the shop, put it into the shop profile. If it is for this job, use the job's own terms.
    Else type the old one.

False alarms
    A workbook that was made blank carries no figures and is not looked at. Rates brought up to date on purpose.

Source
    Catalogue rows S20 and V1.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Evidence, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.values import Address, Value

CHECK = Check("private-rate", Severity.LOOK_AT_IT, (Need.CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, ("S20", "V1"))
#: A rate that moved by more than this factor is rather a slip than a new rate.
SLIP = 1.25


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per changed figure."""
    assert view.contract is not None, "the check needs a contract"
    for name, made in view.contract.made_with.items():
        placed = view.field(name)
        if placed is None or placed.rows != view.contract.fields[name].rows:
            continue
        for row in range(placed.rows):
            address = Address(placed.sheet, placed.row + row, placed.column)
            was = made[row] if row < len(made) else None
            now = view.value(address)
            if (now in (None, "") and was in (None, "")) or now == was or was is None:
                continue
            slip = _size(now, was)
            yield tell(
                view, CHECK, address, shown(now), shown(was),
                "Put a new figure into the shop profile, or use the job's own terms.",
                by_contract("the workbook was made with another figure"), *slip,
                severity=Severity.PROBABLY_WRONG if slip else None,
                put_right={address: was}, if_harmless=Severity.REMARK,
            )  # fmt: skip


def _size(now: Value, was: Value) -> tuple[Evidence, ...]:
    """Return evidence that a figure is rather a slip than a new rate; nothing where it is not."""
    if not isinstance(now, float) or not isinstance(was, float) or was <= 0 or was / SLIP <= now <= was * SLIP:
        return ()
    return (by_value(f"it is {now / was:.3g} times the old one"),)
