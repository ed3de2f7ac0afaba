"""Plain workbooks of tables and charts: summaries and reports, values alone, no formula in them.

The second door to XlsxWriter; the first, ``generate``, is for workbooks made from a template. Every text is written as
a text, whatever it begins with. The same pages give the same bytes.
"""

from __future__ import annotations

import datetime
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from quotebook.workbook.looks import ALARM, GROUND_BLOCK, GROUND_HEADING, INK, QUIET

FIXED_DATE = datetime.datetime(2000, 1, 1)
_FORMATS = {
    "text": "@", "number": "#,##0.00##", "money": "#,##0.00", "share": "0.0%", "count": "#,##0", "hours": "#,##0.00",
    "date": "yyyy-mm-dd", "ratio": "0.000",
}  # fmt: skip
_COLORS = ("#24424A", "#B5651D", "#7A8B69", "#5B4B8A", "#A23B4A", "#C9A227", "#3D7EA6", "#8C8C8C")
_PATTERNS = ("", "wide_upward_diagonal", "percent_25", "horizontal_brick", "small_grid", "wide_downward_diagonal")

Entry = str | float | int | bool | datetime.date | None
Kind = Literal["text", "number", "money", "share", "count", "hours", "date", "ratio"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading, how its values are shown, width in characters."""

    heading: str
    kind: Kind = "text"
    width: float = 14


@dataclass(frozen=True, slots=True)
class Picture:
    """A chart over columns (counted from 0) of a page's table, its own page or the one named."""

    title: str
    categories: int
    values: tuple[int, ...]
    value_axis: str
    category_axis: str
    kind: Literal["column", "bar"] = "column"
    page: str = ""
    percent: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet: title, sentences, one table, pictures below it (or beside nothing, when there is no table)."""

    title: str
    heading: str
    sentences: tuple[str, ...] = ()
    columns: tuple[Column, ...] = ()
    rows: tuple[tuple[Entry, ...], ...] = ()
    pictures: tuple[Picture, ...] = ()
    formats: Mapping[str, str] = field(default_factory=dict)
    banner: str = ""
    orientation: Literal["portrait", "landscape"] = "landscape"


def tables_workbook(pages: Sequence[Page], title: str, properties: Mapping[str, str] | None = None) -> bytes:
    """Return the file. ``properties``: custom document properties, by which such a file is recognised."""
    buffer = io.BytesIO()
    safe = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "default_date_format": "yyyy-mm-dd", **safe})
    writer = _Writer(book, {page.title: page for page in pages})
    for page in pages:
        writer.page(page, book.add_worksheet(page.title))
    book.set_properties({"title": title, "created": FIXED_DATE})
    for name, text in (properties or {}).items():
        book.set_custom_property(name, text)
    book.close()
    return buffer.getvalue()


class _Writer:
    def __init__(self, book: Workbook, pages: Mapping[str, Page]) -> None:
        self.book = book
        self.pages = pages
        self.formats: dict[tuple[tuple[str, Any], ...], Format] = {}

    def look(self, **properties: Any) -> Format:
        full = {"font_name": "Liberation Sans", "font_size": 10, "font_color": INK, **properties}
        key = tuple(sorted(full.items()))
        if key not in self.formats:
            self.formats[key] = self.book.add_format(full)
        return self.formats[key]

    def page(self, page: Page, sheet: Worksheet) -> None:
        row = 0
        if page.banner:
            sheet.write_string(row, 0, page.banner, self.look(bold=True, font_size=16, font_color=ALARM))
            row += 1
        sheet.write_string(row, 0, page.heading, self.look(bold=True, font_size=16))
        row += 1
        for sentence in page.sentences:
            sheet.write_string(row, 0, sentence, self.look(font_color=QUIET))
            row += 1
        for index, column in enumerate(page.columns):
            sheet.set_column(index, index, column.width)
        if page.columns:
            row = self._table(page, sheet, row + 1)
        self._pictures(page, sheet, row + 1)
        self._print(page, sheet)

    def _table(self, page: Page, sheet: Worksheet, row: int) -> int:
        for index, column in enumerate(page.columns):
            align = "left" if column.kind in ("text", "date") else "right"
            head = self.look(bold=True, text_wrap=True, bg_color=GROUND_HEADING, bottom=1, align=align, valign="bottom")
            sheet.write_string(row, index, column.heading, head)
        sheet.freeze_panes(row + 1, 1)
        sheet.repeat_rows(row)
        if page.rows:
            sheet.autofilter(row, 0, row + len(page.rows), len(page.columns) - 1)
        for entries in page.rows:
            row += 1
            for index, (column, entry) in enumerate(zip(page.columns, entries, strict=True)):
                self._entry(sheet, row, index, page, column, entry)
        return row + 1

    def _entry(self, sheet: Worksheet, row: int, index: int, page: Page, column: Column, entry: Entry) -> None:
        shown = page.formats.get(column.kind, _FORMATS[column.kind])
        if entry is None:
            return
        if isinstance(entry, bool):
            sheet.write_string(row, index, "yes" if entry else "no", self.look())
        elif isinstance(entry, datetime.date):
            day = datetime.datetime(entry.year, entry.month, entry.day)
            sheet.write_datetime(row, index, day, self.look(num_format="yyyy-mm-dd", align="left"))
        elif isinstance(entry, int | float):
            sheet.write_number(row, index, entry, self.look(num_format=shown))
        else:
            long = len(entry) > column.width * 1.2
            sheet.write_string(row, index, entry[:32_767], self.look(num_format="@", text_wrap=long, valign="top"))

    def _pictures(self, page: Page, sheet: Worksheet, row: int) -> None:
        drawn = [one for one in page.pictures if _has_numbers(self.pages[one.page or page.title], one)]
        for number, picture in enumerate(drawn):
            source = self.pages[picture.page or page.title]
            chart = self.book.add_chart({"type": picture.kind})
            head = 1 + len(source.sentences) + 1 + bool(source.banner)
            first, last = head + 1, head + len(source.rows)
            for index, column in enumerate(picture.values):
                color, pattern = _COLORS[index % len(_COLORS)], _PATTERNS[index % len(_PATTERNS)]
                filled: dict[str, Any] = {"fill": {"color": color}}
                if pattern:
                    filled = {"pattern": {"pattern": pattern, "fg_color": color, "bg_color": "#FFFFFF"}}
                chart.add_series(
                    {
                        "name": [source.title, head, column],
                        "categories": [source.title, first, picture.categories, last, picture.categories],
                        "values": [source.title, first, column, last, column],
                        "border": {"color": color},
                        **filled,
                    }
                )
            chart.set_title({"name": picture.title, "name_font": {"size": 11}})
            axis: dict[str, Any] = {"num_format": "0%"} if picture.percent else {}
            numbers = [row[column] for row in source.rows for column in picture.values]
            if all(number is None or (isinstance(number, int | float) and number >= 0) for number in numbers):
                axis["min"] = 0
            low = {"label_position": "low", "num_font": {"size": 8}}
            values, names = ("x", "y") if picture.kind == "bar" else ("y", "x")
            getattr(chart, f"set_{names}_axis")(
                {"name": picture.category_axis, "reverse": picture.kind == "bar", **low}
            )
            getattr(chart, f"set_{values}_axis")({"name": picture.value_axis, **axis})
            chart.set_legend({"position": "bottom"} if len(picture.values) > 1 else {"none": True})
            chart.set_size({"width": 760, "height": 340})
            sheet.insert_chart(row + number * 18, 0, chart)

    def _print(self, page: Page, sheet: Worksheet) -> None:
        sheet.set_paper(9)
        if page.orientation == "landscape":
            sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.hide_gridlines(2)
        banner = page.banner.replace("&", "&&")
        sheet.set_header(f"&L&A&C&14{banner}" if banner else "&L&A")
        sheet.set_footer("&RPage &P of &N")
        sheet.set_tab_color(GROUND_BLOCK)


def _has_numbers(page: Page, picture: Picture) -> bool:
    return any(isinstance(row[column], int | float) for row in page.rows for column in picture.values)
