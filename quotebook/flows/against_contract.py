"""Formula cells that no longer hold the formula that the contract promises for them."""

from __future__ import annotations

from collections.abc import Sequence

from quotebook.flows.opening import Opened
from quotebook.flows.recomputed import Recomputed, Unknown
from quotebook.workbook.promises import Broken


def against_contract(opened: Opened, broken: Sequence[Broken], out: Recomputed) -> None:
    """Say of every changed cell that what it shows is not known to be right; the reference has no figure for most.

    Rows that were inserted and left blank are noted once for each row: they have no formulas, and need none yet.
    """
    blank: set[tuple[str, int]] = set()
    for one in broken:
        row = (one.address.sheet, one.address.row)
        if row in blank or (not one.found and _is_blank(opened, *row)):
            blank.add(row)
            continue
        reason = f"holds {one.found or 'nothing'!r}, expected {one.expected!r} as the workbook was made"
        out.unknown.append(Unknown(str(one.address), one.field, one.expected, reason))
    for title, number in sorted(blank):
        out.notes.append(f"{title}, row {number}: was inserted and has no formulas; copy them there before you use it")


def _is_blank(opened: Opened, title: str, row: int) -> bool:
    sheet = opened.snapshot.sheet(title)
    cells = sheet.cells.items() if sheet is not None else ()
    return all(cell.value is None and cell.formula is None for (at, _), cell in cells if at == row)
