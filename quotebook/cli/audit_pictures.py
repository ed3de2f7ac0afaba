"""The pictures of the audit page: where findings lie on each sheet, and the price as found against as mended.

Scalable drawings written into the page itself; all text from the workbook is escaped.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from quotebook.audit.finding import Finding
from quotebook.audit.place import area_of
from quotebook.audit.view import BookView
from quotebook.workbook.areas import Area
from quotebook.workbook.snapshot import Sheet

#: Rows and columns of a sheet that a picture shows; what lies beyond is counted beside it.
MOST_ROWS, MOST_COLUMNS = 140, 40
_WIDE, _HIGH = 16, 7


def sheet_picture(view: BookView, sheet: Sheet, findings: Sequence[tuple[int, Finding]]) -> str:
    """Return the drawing of one sheet: a box for each cell in use, and the findings with their numbers."""
    keys = [key for key, cell in sheet.cells.items() if cell.value is not None or cell.formula is not None]
    areas = [(number, finding, area) for number, finding in findings if (area := area_of(finding.cells)) is not None]
    rows = min(MOST_ROWS, max([key[0] for key in keys] + [area.last_row for _, _, area in areas], default=1))
    columns = min(MOST_COLUMNS, max([key[1] for key in keys] + [area.last_column for _, _, area in areas], default=1))
    width, height = columns * _WIDE + 2, rows * _HIGH + 2
    title = f"{len(areas)} findings on the sheet {sheet.title}"
    parts = [
        f'<svg role="img" aria-label="{escape(title)}" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}"><rect class="paper" x="0" y="0" width="{width}" height="{height}"/>'
    ]
    for row, column in keys:
        if row <= rows and column <= columns:
            kind = "formula" if sheet.cells[row, column].formula is not None else "typed"
            parts.append(f'<rect class="{kind}" {_box(Area(row, column, row, column))}/>')
    for number, finding, area in areas:
        if area.first_row > rows or area.first_column > columns:
            continue
        shown = Area(area.first_row, area.first_column, min(area.last_row, rows), min(area.last_column, columns))
        level = "grave" if finding.severity.is_grave else "lesser"
        label = f"{number}: {finding.check} at {finding.cells}"
        x, y = (shown.first_column - 1) * _WIDE + 1, (shown.first_row - 1) * _HIGH + 1
        parts.append(f'<a href="#finding-{number}"><title>{escape(label)}</title>')
        parts.append(f'<rect class="{level}" {_box(shown)}/>')
        parts.append(f'<text class="number" x="{x + 2}" y="{y + _HIGH - 1}">{number}</text></a>')
    return "".join([*parts, "</svg>"])


def _box(area: Area) -> str:
    x, y = (area.first_column - 1) * _WIDE + 1, (area.first_row - 1) * _HIGH + 1
    width = (area.last_column - area.first_column + 1) * _WIDE - 1
    height = (area.last_row - area.first_row + 1) * _HIGH - 1
    return f'x="{x}" y="{y}" width="{width}" height="{height}"'


def price_picture(prices: Mapping[str, tuple[float | None, float | None]]) -> str:
    """Return bars of each price as found and as mended; nothing where no price is known on either side."""
    known = {what: pair for what, pair in prices.items() if pair[0] is not None or pair[1] is not None}
    most = max((abs(price) for pair in known.values() for price in pair if price is not None), default=0.0)
    if not most:
        return ""
    height = 44 * len(known) + 4
    parts = [f'<svg role="img" aria-label="price as found and as mended" viewBox="0 0 760 {height}" width="760">']
    for index, (what, (found, mended)) in enumerate(known.items()):
        top = 44 * index + 4
        parts.append(f'<text x="0" y="{top + 14}">{escape(what)}</text>')
        for offset, kind, price in ((0, "found", found), (18, "mended", mended)):
            told = "unknown" if price is None else f"{price:,.2f}"
            length = 0.0 if price is None else 330 * abs(price) / most
            parts.append(f'<rect class="{kind}" x="250" y="{top + offset}" width="{length:.1f}" height="14"/>')
            parts.append(f'<text x="{256 + length:.1f}" y="{top + offset + 12}">{told} as {kind}</text>')
    return "".join([*parts, "</svg>"])
