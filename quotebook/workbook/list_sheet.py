"""The part of a sheet that holds a list: texts, numbers and links within the file, never a formula."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

from quotebook.values import column_letters
from quotebook.workbook.mark_looks import MarkLooks
from quotebook.workbook.text_escapes import escaped


@dataclass(frozen=True, slots=True)
class Link:
    """A cell of the added sheet that leads to a cell of the workbook."""

    text: str
    sheet: str
    cell: str


SheetRow = Sequence[str | float | Link | None]


def list_sheet_xml(rows: Sequence[SheetRow], widths: Sequence[float], namespace: str, looks: MarkLooks | None) -> bytes:
    """Return the part of the list; its first row holds the headings."""
    heading, body = (looks.of_list(bold=True), looks.of_list()) if looks is not None else (0, 0)
    columns = "".join(
        f'<col min="{number}" max="{number}" width="{width:g}" customWidth="1"/>'
        for number, width in enumerate(widths, start=1)
    )
    lines, links = [], []
    for number, row in enumerate(rows, start=1):
        cells = []
        for column, value in enumerate(row, start=1):
            where = f"{column_letters(column)}{number}"
            cells.append(_cell_xml(where, value, heading if number == 1 else body))
            if isinstance(value, Link):
                target = "'" + value.sheet.replace("'", "''") + "'!" + value.cell
                links.append(f'<hyperlink ref="{where}" location={quoteattr(escaped(target))}/>')
        lines.append(f'<row r="{number}">{"".join(cells)}</row>')
    hyperlinks = f"<hyperlinks>{''.join(links)}</hyperlinks>" if links else ""
    text = (
        '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
        f'<worksheet xmlns="{namespace}"><sheetViews><sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2"'
        f' activePane="bottomLeft" state="frozen"/></sheetView></sheetViews><cols>{columns}</cols>'
        f"<sheetData>{''.join(lines)}</sheetData>"
        f"{hyperlinks}</worksheet>"
    )
    return text.encode("utf-8")


def _cell_xml(where: str, value: str | float | Link | None, style: int) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f'<c r="{where}" s="{style}"><v>{value!r}</v></c>'
    text = value.text if isinstance(value, Link) else value
    inside = escape(escaped(text[:32_000]))
    return f'<c r="{where}" s="{style}" t="inlineStr"><is><t xml:space="preserve">{inside}</t></is></c>'
