"""The result of an array formula has no room on the sheet.

What it finds
    Formulas of newer spreadsheet programs that spread their result over as many cells as it needs, where a filled cell,
    merged cells, a table or the edge of the sheet is in the way: they show #SPILL! and nothing else. Told where the
    file says so, and where the size of the result shows that it will be so at the next calculation.

Why it costs money
    All lines of the list are missing at once, and a total that catches errors takes them for nothing.

Faulty
    D2  =B2:B6*C2:C6  shows #SPILL!, because a note was typed into D4

Sound
    D2  =B2:B6*C2:C6  fills D2:D6

How to mend
    Clear or move what is in the way, and save the workbook in the spreadsheet program.

False alarms
    A result that the file shows in full although a cell looks to be in its way is not told. Where the size of a result
    depends on figures (FILTER, UNIQUE, a choice) and the file does not say what is in the way, the cell is unknown, and
    a spill that will be blocked only at the next calculation is not seen.

Source
    Catalogue row H11, in part: the blocked spill. That errorType 8 of a rich value is #SPILL!, and what its offsets
    tell, is as others describe files of a newer spreadsheet program; no such file was at hand.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import ANY, Check, Finding, Kind, Severity, When
from quotebook.audit.grid import a1
from quotebook.audit.spill import InTheWay, in_the_way, size_of
from quotebook.audit.telling import fact, told
from quotebook.audit.view import BookView
from quotebook.clock import tick
from quotebook.values import Address
from quotebook.workbook.areas import Area, parse_area
from quotebook.workbook.cell_formulas import area_name
from quotebook.workbook.snapshot import Spilling

CHECK = Check("blocked-spill", Severity.LOOK_AT_IT, ANY, When.WRONG_NOW, Kind.HAND_SLIP, rows=("H11",))


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula whose result has no room, at the formula."""
    for sheet in view.snapshot.sheets:
        for (row, column), spilling in sheet.spilling.items():
            first = Address(sheet.title, row, column)
            tick()
            cell = sheet.cells[row, column]
            saved = parse_area(cell.array_range or "")
            if cell.formula is None or (not spilling.is_blocked and saved is not None and saved.size > 1):
                continue  # a result that was saved in full has room
            size = size_of(view, first, cell.formula)
            in_way = in_the_way(view, first, size) if size is not None else None
            if spilling.is_blocked:
                in_way = in_way or _as_saved(view, first, spilling)
            elif in_way is None:
                continue
            on_path = view.is_on_price_path(first)
            shown = "#SPILL! from" if spilling.is_blocked else "at the next calculation #SPILL! from"
            yield told(
                CHECK,
                first,
                f"{shown} ={cell.formula}",
                "room for the whole result" + ("" if size in (None, (1, 1)) else f", {_wanted(first, size)}"),
                f"{_remedy(in_way)}, and save the workbook in the spreadsheet program.",
                fact(_reason(view, in_way, spilling) + ("; the price depends on it" if on_path else "")),
                severity=Severity.PROBABLY_WRONG if on_path else None,
            )


def _as_saved(view: BookView, first: Address, spilling: Spilling) -> InTheWay | None:
    """Return what the file itself says to be in the way, unless nothing stands there any more."""
    if spilling.distance is None:
        return InTheWay(None, "the edge of the sheet") if spilling.cause == "edge of the sheet" else None
    cell = first._replace(row=first.row + spilling.distance[0], column=first.column + spilling.distance[1])
    is_filled = spilling.cause == "merged cells" or view.content(cell)
    return InTheWay(cell, spilling.cause or "a filled cell") if is_filled else None


def _wanted(first: Address, size: tuple[int, int] | None) -> str:
    assert size is not None
    return area_name(Area(first.row, first.column, first.row + size[0] - 1, first.column + size[1] - 1))


def _reason(view: BookView, in_way: InTheWay | None, spilling: Spilling) -> str:
    if in_way is None:
        return "the file says that something was in the way at the last save; which cell is not known"
    if in_way.cell is None:
        return f"in the way: {in_way.what}"
    held = view.content(in_way.cell)
    return f"in the way: {a1(in_way.cell)}, {in_way.what}" + (f" that holds {held}" if held else "")


def _remedy(in_way: InTheWay | None) -> str:
    if in_way is None:
        return "Clear the cells below and beside the formula that its result needs"
    if in_way.cell is None:
        return "Move the formula up or to the left"
    return "Move the formula out of the table" if "table" in in_way.what else f"Clear or move {a1(in_way.cell)}"
