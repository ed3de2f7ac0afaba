"""From a plan and the results of its formulas to a workbook file; the only door to XlsxWriter.

The same plan and values give the same bytes: every date in the package is fixed and the order is the plan's.
"""

from __future__ import annotations

import datetime
import io
from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from quotebook.errors import NameRefused
from quotebook.template.formulas import as_in_files
from quotebook.template.plan import Placed, Plan, PlannedCell, PlannedSheet
from quotebook.template.references import area
from quotebook.template.spec import ChartSpec
from quotebook.values import Address, ErrorValue, Value, column_letters
from quotebook.workbook.contract import SHEET
from quotebook.workbook.looks import ALARM, GOOD, GROUND_BLOCK, MoneyLook, look_properties
from quotebook.workbook.names import check_name
from quotebook.workbook.validation import validation_of

#: Every generated file carries this date, so that equal input gives equal bytes.
FIXED_DATE = datetime.datetime(2000, 1, 1)
#: Paper sizes by the number that the file format gives them.
LETTER, A4 = 1, 9
_CHART_COLORS = ("#24424A", "#B5651D", "#7A8B69", "#5B4B8A", "#A23B4A", "#C9A227", "#3D7EA6", "#8C8C8C", "#D98880")
_CHART_PATTERNS = (
    "", "wide_upward_diagonal", "percent_25", "horizontal_brick", "small_grid", "wide_downward_diagonal",
    "dotted_diamond", "narrow_horizontal", "large_confetti",
)  # fmt: skip


def workbook_bytes(
    plan: Plan,
    values: Mapping[Address, Value],
    contract: list[list[str]],
    properties: Mapping[str, str],
    money: MoneyLook,
    paper: int = A4,
) -> bytes:
    """Return the file of a laid-out workbook.

    ``values``: content of the input cells and results of the formula cells (stored beside each formula, so that a
    preview shows true numbers). ``contract``: rows of the hidden sheet. ``properties``: custom document properties.
    ``paper``: LETTER or A4.
    Errors: NameRefused when a defined name would not be accepted.
    """
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True, "default_date_format": "yyyy-mm-dd"})
    writer = _Writer(book, plan, values, money, paper)
    sheets = [book.add_worksheet(sheet.spec.title, _Sheet) for sheet in plan.sheets]
    for name, reference in plan.names.items():
        if book.define_name(check_name(name), f"={reference}") not in (0, None):
            raise NameRefused(f"defined name {name!r} for {reference} was not accepted")
    for planned, sheet in zip(plan.sheets, sheets, strict=True):
        writer.sheet(planned, sheet)
    _write_contract(book, contract)
    for name, text in properties.items():
        book.set_custom_property(name, text)
        book.define_name(check_name(name), f'="{text}"')
    book.set_properties({"title": plan.template.title, "created": FIXED_DATE})
    book.set_calc_mode("auto")
    book.close()
    return buffer.getvalue()


class _Sheet(Worksheet):  # type: ignore[misc]
    """A worksheet that takes formulas as they come.

    XlsxWriter looks through every formula for thirty newer functions, one after the other, which took two fifths of the
    time a workbook takes; ``as_in_files`` has done it. Its own search also takes NORMSINV for NORM.INV (seen in 3.3.1),
    which then has too few arguments; ``tests/workbook/test_generate.py`` tells when that is mended.
    """

    def _prepare_formula(self, formula: str, expand_future_functions: bool = False) -> str:
        return formula.removeprefix("=")


def _write_contract(book: Workbook, rows: list[list[str]]) -> None:
    sheet = book.add_worksheet(SHEET)
    plain = book.add_format({"num_format": "@"})
    for row, texts in enumerate(rows):
        for column, text in enumerate(texts):
            if text:
                sheet.write_string(row, column, text, plain)
    sheet.set_column(0, 0, 30)
    sheet.protect()
    sheet.hide()


def _stretches(cells: list[tuple[int, int]]) -> Iterator[tuple[int, int, int]]:
    """Yield column, first and last row of each stretch of cells below each other, from sorted (column, row)."""
    for column, group in groupby(cells, key=lambda cell: cell[0]):
        rows = [row for _, row in group]
        start = 0
        for index in range(1, len(rows) + 1):
            if index == len(rows) or rows[index] != rows[index - 1] + 1:
                yield column, rows[start], rows[index - 1]
                start = index


class _Writer:
    """Writes one sheet after the other; formats are shared between equal looks."""

    def __init__(
        self, book: Workbook, plan: Plan, values: Mapping[Address, Value], money: MoneyLook, paper: int
    ) -> None:
        self.book = book
        self.plan = plan
        self.values = values
        self.money = money
        self.paper = paper
        self.formats: dict[tuple[tuple[str, Any], ...], Format] = {}

    def format(self, properties: dict[str, Any]) -> Format:
        key = tuple(sorted(properties.items()))
        if key not in self.formats:
            self.formats[key] = self.book.add_format(properties)
        return self.formats[key]

    def sheet(self, planned: PlannedSheet, sheet: Worksheet) -> None:
        for column, width in sorted(planned.widths.items()):
            sheet.set_column(column - 1, column - 1, width)
        for row, height in sorted(planned.heights.items()):
            sheet.set_row(row - 1, height)
        for (row, column), cell in sorted(planned.cells.items()):
            self._cell(planned, sheet, row, column, cell)
        self._bars(planned, sheet)
        self._states(planned, sheet)
        for number, (row, chart) in enumerate(planned.charts):
            self._chart(planned, sheet, row, number, chart)
        self._page(planned, sheet)
        sheet.protect("", {"format_columns": True, "format_rows": True})

    # -- cells ------------------------------------------------------------------------------

    def _cell(self, planned: PlannedSheet, sheet: Worksheet, row: int, column: int, cell: PlannedCell) -> None:
        form = self.format(look_properties(cell.look, cell.field, self.money))
        value = self.values.get(Address(planned.spec.title, row, column))
        if cell.formula:
            # XlsxWriter stores 0 for a formula without a value; an empty result must be an empty text.
            stored = "" if value is None else str(value) if isinstance(value, ErrorValue) else value
            sheet.write_formula(row - 1, column - 1, f"={as_in_files(cell.formula)}", form, stored)
        elif cell.look in ("input", "given"):
            self._input(sheet, row, column, cell, form, value)
        elif cell.jump:
            self._link(planned, sheet, row, column, cell, form)
        else:
            sheet.write_string(row - 1, column - 1, cell.text, form)
        if cell.field is not None and cell.field.note and cell.formula and self._is_first(planned, row, column, cell):
            sheet.write_comment(row - 1, column - 1, cell.field.note, {"x_scale": 1.6, "author": "quotebook"})

    def _is_first(self, planned: PlannedSheet, row: int, column: int, cell: PlannedCell) -> bool:
        assert cell.field is not None
        placed = self.plan.placed[cell.field.name]
        return (placed.row, placed.column) == (row, column)

    def _input(self, sheet: Worksheet, row: int, column: int, cell: PlannedCell, form: Format, value: Value) -> None:
        if value is None:
            sheet.write_blank(row - 1, column - 1, None, form)
        elif isinstance(value, float):
            sheet.write_number(row - 1, column - 1, value, form)
        else:
            sheet.write_string(row - 1, column - 1, str(value), form)
        assert cell.field is not None
        placed = self.plan.placed[cell.field.name]
        if cell.look == "input" and (placed.row, placed.column) == (row, column):
            rule = validation_of(cell.field)
            if rule is not None:
                last = row + placed.rows - 2
                if sheet.data_validation(row - 1, column - 1, last, column - 1, rule) not in (0, None):
                    raise NameRefused(f"validation of {cell.field.name} was not accepted")

    def _link(
        self, planned: PlannedSheet, sheet: Worksheet, row: int, column: int, cell: PlannedCell, form: Format
    ) -> None:
        target: Placed = self.plan.placed[cell.jump]
        place = area(target.sheet, target.row, target.column, absolute=False)
        sheet.write_url(row - 1, column - 1, f"internal:{place}", form, cell.text, f"Go to {target.field.label}")

    def _bars(self, planned: PlannedSheet, sheet: Worksheet) -> None:
        """Carry the ground of a block's title over the printed width."""
        form = self.format(look_properties("block", None, self.money))
        for (row, column), cell in sorted(planned.cells.items()):
            if cell.look == "block":
                for other in range(column + 1, planned.print_columns + 1):
                    sheet.write_blank(row - 1, other - 1, None, form)

    def _states(self, planned: PlannedSheet, sheet: Worksheet) -> None:
        """Set the states that want attention in the alarm colour; their words and marks say the same without it."""
        alarm = self.format({"bold": True, "font_color": ALARM})
        good = self.format({"font_color": GOOD})
        cells = sorted((column, row) for (row, column), cell in planned.cells.items() if cell.look == "state")
        for column, first, last in _stretches(cells):
            here = f"{column_letters(column)}{first}"
            wants = (
                f'OR(LEFT({here},1)="◄",LEFT({here},4)="does",LEFT({here},3)="not",LEFT({here},5)="DRAFT",'
                f'{here}="no-go",{here}="undecided",{here}="expired",{here}="no date",'
                f'ISNUMBER(SEARCH("missing",{here})))'
            )
            place = (first - 1, column - 1, last - 1, column - 1)
            sheet.conditional_format(*place, {"type": "formula", "criteria": f"={wants}", "format": alarm})
            fine = f'OR({here}="ok",{here}="fits",{here}="valid",{here}="go")'
            sheet.conditional_format(*place, {"type": "formula", "criteria": f"={fine}", "format": good})
        missing = self.format({"bg_color": "#F6D5D0", "pattern": 1, "border": 1, "border_color": ALARM})
        for (row, column), cell in sorted(planned.cells.items()):
            if cell.look == "input" and cell.field is not None and cell.field.needed:
                place = (row - 1, column - 1, row - 1, column - 1)
                sheet.conditional_format(*place, {"type": "blanks", "format": missing})

    # -- charts and pages -------------------------------------------------------------------

    def _chart(self, planned: PlannedSheet, sheet: Worksheet, row: int, number: int, spec: ChartSpec) -> None:
        kind = {"type": "column", "subtype": "stacked"} if spec.kind == "stacked column" else {"type": "column"}
        chart = self.book.add_chart(kind)
        for index, (name, label) in enumerate(zip(spec.series, spec.labels, strict=True)):
            color = _CHART_COLORS[index % len(_CHART_COLORS)]
            look: dict[str, Any] = {"fill": {"color": color}}
            pattern = _CHART_PATTERNS[index % len(_CHART_PATTERNS)]
            if pattern:
                look = {"pattern": {"pattern": pattern, "fg_color": color, "bg_color": "#FFFFFF"}}
            chart.add_series(
                {
                    "name": label,
                    "categories": "=" + self._breaks(spec.categories),
                    "values": "=" + self._breaks(name),
                    "border": {"color": color},
                    **look,
                }
            )
        chart.set_title({"name": spec.title, "name_font": {"size": 11}})
        chart.set_x_axis({"name": spec.category_axis, "num_font": {"size": 9}})
        chart.set_y_axis({"name": spec.value_axis, "num_font": {"size": 9}, "major_gridlines": {"visible": True}})
        chart.set_legend({"position": "bottom", "font": {"size": 8}})
        chart.set_size({"width": 530, "height": 330})
        sheet.insert_chart(row - 1, 0, chart, {"x_offset": 5 + 540 * number, "y_offset": 4})

    def _breaks(self, name: str) -> str:
        """Return the cells of the quantity breaks, the series without the first piece alone; of a column all rows."""
        placed = self.plan.placed[name]
        if placed.shape == "column":
            return area(placed.sheet, placed.row, placed.column, placed.rows)
        return area(placed.sheet, placed.row, placed.column + 1, 1, placed.columns - 1)

    def _page(self, planned: PlannedSheet, sheet: Worksheet) -> None:
        spec = planned.spec
        sheet.set_paper(self.paper)
        if planned.page_breaks:
            sheet.set_h_pagebreaks(planned.page_breaks)
        if spec.orientation == "landscape":
            sheet.set_landscape()
        sheet.set_margins(left=0.4, right=0.4, top=0.8, bottom=0.6)
        sheet.print_area(0, 0, planned.last_row - 1, planned.print_columns - 1)
        sheet.fit_to_pages(1, 1 if spec.one_page else 0)
        if not spec.customer_page:
            sheet.set_header("&L&A&RIn confidence, for the shop only")
            sheet.set_footer("&L&F&RPage &P of &N")
        sheet.hide_gridlines(2)
        if planned.freeze:
            sheet.freeze_panes(*planned.freeze)
        if not spec.one_page:
            # Part and revision head every page as live cells: text in a page header would go stale in silence.
            sheet.repeat_rows(0, (planned.title_rows[1] if planned.title_rows else planned.status_row) - 1)
        sheet.set_tab_color("#B5651D" if spec.customer_page else GROUND_BLOCK)
