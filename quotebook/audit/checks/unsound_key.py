"""A list that is searched has a key twice, or its steps are out of order.

What it finds
    Operation numbers, rate names, work centers, materials and buyout lines that stand twice (also when only blanks or
    capitals differ), and lots of the sampling table, quantities and operation numbers that do not rise.

Why it costs money
    A search stops at the first match: the second line is never used. In steps out of order it takes any of them.

Faulty
    Lathe 95.00 | Mill 85.00 | Lathe 110.00

Sound
    Lathe 95.00 | Mill 85.00 | Lathe, large 110.00

How to mend
    Give each line a key of its own; sort steps from small to large.

False alarms
    None known: the workbook's own states tell the same where they are in place.

Source
    Catalogue rows F25, F26, S20 and V34 with the keys known; fault kind "loose look-up".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.entries import rows_of
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown
from quotebook.values import Value

CHECK = Check(
    "unsound-key",
    Severity.PROBABLY_WRONG,
    (Need.CONTRACT,),
    When.WRONG_NOW,
    Kind.HAND_SLIP,
    ("F25", "F26", "S20", "V34"),
)
#: Fields that are searched exactly; each key may stand once.
_UNIQUE = (
    "operation_number", "hand_rate_name", "work_center_name", "material_name", "buyout_name", "break_quantity",
    "sampling_from",
)  # fmt: skip
#: Fields whose numbers must rise.
_RISING = ("operation_number", "break_quantity", "sampling_from")


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per key that stands twice or out of order, at the later cell."""
    for name in _UNIQUE:
        first: dict[Value, int] = {}
        before: float | None = None
        for row in rows_of(view, name):
            cell, value = view.field_cell(name, row), view.field_value(name, row)
            key = value.strip().casefold() if isinstance(value, str) else value
            if cell is None:
                continue
            falls = name in _RISING and isinstance(value, float) and before is not None and value < before
            if key in first or falls:
                told = f"it stands in row {first[key] + 1} too" if key in first else f"{shown(before)} stands above it"
                yield tell(
                    view, CHECK, cell, shown(value), "another key" if key in first else f"more than {shown(before)}",
                    "Give each line a key of its own; sort steps from small to large.",
                    by_value(told), by_contract(f"{name} is searched"),
                )  # fmt: skip
            first.setdefault(key, row)
            if isinstance(value, float):
                before = value if before is None else max(before, value)
