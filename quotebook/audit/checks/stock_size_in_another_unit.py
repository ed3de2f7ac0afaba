"""A size of the stock looks as if it were typed in another unit, or with its point at the wrong digit.

What it finds
    Kerfs below 0.5 mm (0.02 in) or above 10 mm (0.4 in), bars shorter than 0.6 m (2 ft) or longer than 8 m (26 ft),
    facing of less than 0.2 mm or more than 25 mm (1 in), bar ends of less than 20 mm (0.8 in) or more than 400 mm
    (16 in), and stock sizes of twice the largest, or half of the smallest, size of the finished part and beyond.

Why it costs money
    A bar of 3000 in holds a thousand pieces and costs nothing each; a bar of 120 mm holds one.

Faulty
    bar length 120 mm     kerf 0.125 mm

Sound
    bar length 3050 mm    kerf 3 mm

How to mend
    Type the size in the unit that stands beside it; for an inch bar on a metric drawing choose the stock's units.

False alarms
    Wire-cut blanks, short remnants, and parts that are made from much larger stock on purpose. The limits are common
    practice, no source.

Source
    Catalogue rows V13 and F32; fault kind "unit slip".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Evidence, Finding, Kind, Need, Severity, When
from quotebook.audit.slips import by_factor
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "stock-size-in-another-unit", Severity.LOOK_AT_IT, (Need.CONTRACT, Need.RECOMPUTED), When.WRONG_NOW, Kind.HAND_SLIP,
    ("V13", "F32"),
)  # fmt: skip
#: Millimetres between which each size of a bar lies.
_BAR = {
    "stock_kerf": (0.5, 10.0),
    "stock_facing": (0.2, 25.0),
    "stock_bar_length": (600.0, 8000.0),
    "stock_grip": (20.0, 400.0),
}
_SIZES = ("stock_size_a", "stock_size_b", "stock_piece_length")
#: Stock may be larger than the part's largest size, or smaller than its smallest, by this factor.
FARTHEST = 2.0


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most one finding per size."""
    units = view.field_value("stock_units_used")
    if units not in ("mm", "in"):
        return
    mm = 1.0 if units == "mm" else 25.4
    limits: dict[str, tuple[float, float, str]] = {}
    if view.field_number("stock_is_bar") == 1:
        for name, (low, high) in _BAR.items():
            limits[name] = low / mm, high / mm, "common sizes of bars and saws"
    limits |= _against_part(view)
    for name, (low, high, source) in limits.items():
        cell, size = view.field_cell(name), view.field_number(name)
        if cell is None or not size or low <= size < high:
            continue
        meant = by_factor(size, low, high, (10.0, 25.4))
        evidence: list[Evidence] = [by_value(f"{shown(size)} {units}; {source}"), by_contract(f"{name} is in {units}")]
        yield tell(
            view, CHECK, cell, f"{shown(size)} {units}", f"{low:.3g} to {high:.3g} {units}",
            "Type the size in the unit that stands beside it.", *evidence,
            put_right={} if meant is None else {cell: meant},
        )  # fmt: skip


def _against_part(view: BookView) -> dict[str, tuple[float, float, str]]:
    """Return limits from the sizes of the finished part, where all three are known."""
    part = [view.field_number(name) for name in ("part_length", "part_width", "part_height")]
    factor = view.field_number("stock_to_drawing")
    sizes = [size / factor for size in part if size and factor]
    if len(sizes) < 3:
        return {}
    low, high = min(sizes) / FARTHEST, max(sizes) * FARTHEST
    told = f"the part measures {' x '.join(shown(size) for size in sizes)}"
    return dict.fromkeys(_SIZES, (low, high, told))
