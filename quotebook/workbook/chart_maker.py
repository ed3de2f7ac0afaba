"""Charts as parts of a package, drawn by XlsxWriter in a workbook that is thrown away.

Only the chart parts and their places are taken from it. The charts read cells of the sheet that they will stand on, and
carry these cells' values along, so that they show something before any recalculation.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import xlsxwriter
from lxml import etree

from quotebook.workbook.xml_parts import Element, parse_xml

Values = tuple[str | float | None, ...]
_COLORS = ("#1F5F8B", "#B4551D", "#3F7D3A", "#7A4A8C", "#8A6D1D", "#4A4A4A")
_FONT = {"size": 9}


@dataclass(frozen=True, slots=True)
class Column:
    """A run of cells going down: first row and column (from 1), and what they hold. ``title`` names it in a legend."""

    row: int
    column: int
    values: Values
    title: str = ""


@dataclass(frozen=True, slots=True)
class SheetChart:
    """A chart. ``name`` finds it again in the file; ``row`` and ``column`` (from 1) are its upper left corner.

    ``kind``: "histogram" (columns without gaps), "curves" (lines over numbers), or "spans" (bars lying on their sides:
    the first series is where they begin and is not drawn, the others follow each other).
    """

    name: str
    kind: Literal["histogram", "curves", "spans"]
    title: str
    across: str
    up: str
    over: Column
    series: tuple[Column, ...]
    row: int
    column: int


def chart_parts(sheet: str, charts: Sequence[SheetChart], widths: Sequence[float]) -> list[tuple[bytes, Element]]:
    """Return for each chart its part and its anchor in a drawing. ``widths``: of the sheet's columns, in characters."""
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True})
    page = book.add_worksheet(sheet)
    for number, width in enumerate(widths):
        page.set_column(number, number, width)
    for chart in charts:
        for column in (chart.over, *chart.series):
            page.write_column(column.row - 1, column.column - 1, column.values)
        page.insert_chart(chart.row - 1, chart.column - 1, _drawn(book, sheet, chart), {"description": chart.title})
    book.close()
    with zipfile.ZipFile(buffer) as package:
        parts = [package.read(f"xl/charts/chart{number}.xml") for number in range(1, len(charts) + 1)]
        drawing = parse_xml(package.read("xl/drawings/drawing1.xml"), "drawing")
    anchors = [element for element in drawing if etree.QName(element).localname == "twoCellAnchor"]
    for chart, anchor in zip(charts, anchors, strict=True):
        named = next(element for element in anchor.iter() if etree.QName(element).localname == "cNvPr")
        named.set("name", chart.name)
    return list(zip(parts, anchors, strict=True))


def _drawn(book: Any, sheet: str, chart: SheetChart) -> Any:
    kinds = {
        "histogram": {"type": "column"},
        "curves": {"type": "scatter", "subtype": "straight"},
        "spans": {"type": "bar", "subtype": "stacked"},
    }
    drawn = book.add_chart(kinds[chart.kind])
    for number, column in enumerate(chart.series):
        color = _COLORS[number % len(_COLORS)]
        options: dict[str, Any] = {
            "name": column.title, "categories": _cells(sheet, chart.over), "values": _cells(sheet, column),
        }  # fmt: skip
        if chart.kind == "curves":
            options["line"] = {"color": color, "width": 2}
        else:
            options["fill"] = {"color": color}
            options["gap"] = 4 if chart.kind == "histogram" else 40
        if chart.kind == "spans" and number == 0:
            options["fill"] = {"none": True}
            options["border"] = {"none": True}
        drawn.add_series(options)
    _dress(drawn, chart)
    return drawn


def _dress(drawn: Any, chart: SheetChart) -> None:
    drawn.set_title({"name": chart.title, "name_font": {"size": 11}, "overlay": False})
    lower: dict[str, Any] = {"name": chart.across, "name_font": _FONT, "num_font": _FONT}
    left: dict[str, Any] = {"name": chart.up, "name_font": _FONT, "num_font": _FONT, "major_gridlines": _GRID}
    if chart.kind == "histogram":
        lower |= {"num_format": "#,##0", "interval_unit": 8}
    if chart.kind == "spans":
        begins = [value for value in chart.series[0].values if isinstance(value, float)]
        least = min(begins, default=0.0)
        # The widest, given first, comes on top.
        drawn.set_y_axis({"reverse": True, "num_font": _FONT})
        drawn.set_x_axis({**lower, "num_format": "#,##0", "min": least - abs(least) * 0.01, "major_gridlines": _GRID})
        drawn.set_legend({"position": "bottom", "delete_series": [0], "font": _FONT})
    else:
        drawn.set_x_axis(lower)
        drawn.set_y_axis(left)
        legend = {"position": "bottom", "font": _FONT} if len(chart.series) > 1 else {"none": True}
        drawn.set_legend(legend)
    drawn.set_size({"width": 640, "height": 360})


_GRID = {"visible": True, "line": {"color": "#D9E2EC"}}


def _cells(sheet: str, column: Column) -> list[str | int]:
    last = column.row + len(column.values) - 1
    return [sheet, column.row - 1, column.column - 1, last - 1, column.column - 1]
