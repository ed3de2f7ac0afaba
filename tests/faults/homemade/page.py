"""A few words for typing a sheet as a person would: rows of cells, a formula filled down or across, formats."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from openpyxl.formula.translate import Translator
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter, range_boundaries
from openpyxl.worksheet.worksheet import Worksheet

Content = str | float | int | None

MONEY = '"$"#,##0.00'
EURO = '#,##0.00\\ "€"'
PERCENT = "0%"
PERCENT_1 = "0.0%"
HOURS = "0.00"


class Page:
    """One sheet being typed. Addresses are A1; a text that begins with an equals sign is a formula."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet = sheet

    def rows(self, corner: str, lines: Iterable[Sequence[Content]]) -> None:
        """Type lines of cells from a corner on; None leaves a cell alone."""
        left, top, _, _ = range_boundaries(corner)
        for down, line in enumerate(lines):
            for across, content in enumerate(line):
                if content is not None:
                    self.sheet.cell(top + down, left + across, content)

    def put(self, **cells: Content) -> None:
        """Type single cells, as ``put(B3=5)``."""
        for address, content in cells.items():
            self.sheet[address] = content

    def fill(self, area: str, formula: str) -> None:
        """Fill a formula, written for the first cell, over an area."""
        left, top, right, bottom = range_boundaries(area)
        first = f"{get_column_letter(left)}{top}"
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                here = f"{get_column_letter(column)}{row}"
                self.sheet[here] = Translator(formula, origin=first).translate_formula(here)

    def form(self, number_format: str, *areas: str) -> None:
        """Give areas a number format."""
        for area in areas:
            left, top, right, bottom = range_boundaries(area)
            for row in range(top, bottom + 1):
                for column in range(left, right + 1):
                    self.sheet.cell(row, column).number_format = number_format

    def head(self, *areas: str) -> None:
        """Merge each area and set it in bold; a single cell is only set in bold."""
        for area in areas:
            left, top, _, _ = range_boundaries(area)
            self.sheet.cell(top, left).font = Font(bold=True)
            if ":" in area:
                self.sheet.merge_cells(area)
