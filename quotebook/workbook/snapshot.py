"""One reading of a workbook file, as plain data that everything else uses.

A snapshot holds what the file holds and judges nothing. Formulas are complete (shared formulas are
expanded to each cell, without the leading equals sign); values are those stored in the file at the last save.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple, TypeVar

from quotebook.values import Address, Value

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell with content. ``value`` is the stored result when ``formula`` is given, None if none is stored.

    ``array_range`` is the A1 range of an array formula, given on its first cell only; the other cells of the range
    have ``part_of_array`` set. ``style`` is the index into ``Snapshot.styles``. ``kind`` tells other formula kinds that
    are kept but not understood ("dataTable").
    """

    value: Value
    formula: str | None = None
    style: int = 0
    array_range: str | None = None
    part_of_array: bool = False
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Style:
    """What a cell format says that matters here."""

    number_format: str = "General"
    locked: bool = True
    hidden_formula: bool = False
    is_date: bool = False
    font_color: str = ""
    fill_color: str = ""


@dataclass(frozen=True, slots=True)
class Validation:
    """A rule for what may be typed into ``ranges`` (A1, one or several)."""

    ranges: tuple[str, ...]
    kind: str
    operator: str = "between"
    formula1: str = ""
    formula2: str = ""
    allow_blank: bool = True
    error_text: str = ""
    prompt_text: str = ""


@dataclass(frozen=True, slots=True)
class DefinedName:
    """A name; ``sheet`` is the title of the sheet for a sheet-scoped name, None for the whole workbook."""

    name: str
    text: str
    sheet: str | None = None
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table (list object): A1 range, column headings, and whether header and totals rows are inside the range."""

    name: str
    sheet: str
    range: str
    columns: tuple[str, ...]
    header_rows: int = 1
    totals_rows: int = 0


class Spilling(NamedTuple):
    """An array formula that takes the cells it needs. ``is_blocked``: it showed #SPILL! at the last save.

    ``distance``: rows down and columns right to the first cell in the way; ``cause``: what it is; both where the file
    says so.
    """

    is_blocked: bool = False
    distance: tuple[int, int] | None = None
    cause: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A worksheet; ``cells`` holds only cells with content or a format, by (row, column) from 1.

    ``spilling``: the array formulas of newer programs, by their first cell.
    ``worked_out``: what was made of just these cells, shared with other readings of the same bytes; see ``made_of``.
    """

    title: str
    part: str
    state: str = "visible"
    cells: Mapping[tuple[int, int], Cell] = field(default_factory=dict)
    protected: bool = False
    protection_options: Mapping[str, str] = field(default_factory=dict)
    validations: tuple[Validation, ...] = ()
    merged: tuple[str, ...] = ()
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    conditional_formats: tuple[tuple[str, str], ...] = ()
    comments: Mapping[tuple[int, int], str] = field(default_factory=dict)
    print_area: str = ""
    spilling: Mapping[tuple[int, int], Spilling] = field(default_factory=dict)
    worked_out: dict[object, tuple[Mapping[tuple[int, int], Cell], object]] = field(
        default_factory=dict, compare=False, repr=False
    )

    def made_of(self, make: Callable[[str, Mapping[tuple[int, int], Cell]], T]) -> T:
        """Return what a function makes of title and cells; it is asked once for the same cells."""
        known = self.worked_out.get((make, self.title))
        if known is not None and known[0] is self.cells:
            return known[1]  # type: ignore[return-value]
        made = make(self.title, self.cells)
        self.worked_out[make, self.title] = (self.cells, made)
        return made


@dataclass(frozen=True, slots=True)
class Calculation:
    """How the workbook asks to be calculated."""

    mode: str = "auto"
    iterate: bool = False
    full_precision: bool = True
    date1904: bool = False
    full_calc_on_load: bool = False


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A whole workbook as read.

    ``duplicates`` names the cells that the file holds more than once (the last one was kept).
    """

    path: Path
    sheets: tuple[Sheet, ...]
    names: tuple[DefinedName, ...] = ()
    tables: tuple[Table, ...] = ()
    styles: tuple[Style, ...] = (Style(),)
    calculation: Calculation = Calculation()
    properties: Mapping[str, str] = field(default_factory=dict)
    custom_properties: Mapping[str, str] = field(default_factory=dict)
    application: str = ""
    parts: tuple[str, ...] = ()
    external_links: tuple[str, ...] = ()
    has_macros: bool = False
    duplicates: tuple[str, ...] = ()

    def sheet(self, title: str) -> Sheet | None:
        """Return the sheet of that title, capitals ignored as spreadsheet programs do, or None."""
        for sheet in self.sheets:
            if sheet.title == title:
                return sheet
        wanted = title.casefold()
        return next((sheet for sheet in self.sheets if sheet.title.casefold() == wanted), None)

    def cell(self, address: Address) -> Cell | None:
        """Return the cell at an address, or None where the file holds nothing."""
        sheet = self.sheet(address.sheet)
        return sheet.cells.get((address.row, address.column)) if sheet else None

    def value(self, address: Address) -> Value:
        """Return the value stored at an address; None where the file holds nothing."""
        cell = self.cell(address)
        return cell.value if cell is not None else None
