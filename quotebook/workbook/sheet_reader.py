"""One pass over a sheet part: cells, and the rules around them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from quotebook.workbook.areas import Area
from quotebook.workbook.cell_reader import DATA_TABLE, CellReader
from quotebook.workbook.package import Package
from quotebook.workbook.refusals import damaged, quoted, unsafe
from quotebook.workbook.shared_formulas import TextBudget
from quotebook.workbook.sheet_rules import (
    hidden_columns,
    read_conditional_formats,
    read_protection,
    read_validation,
)
from quotebook.workbook.snapshot import Cell, Validation
from quotebook.workbook.xml_parts import Element, children, stream_xml

#: Namespaces of sheets: transitional, strict, and the old macro sheets.
NAMESPACES = frozenset(
    {
        "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
        "http://purl.oclc.org/ooxml/spreadsheetml/main",
        "http://schemas.microsoft.com/office/excel/2006/main",
    }
)
_PIECES = (
    "row",
    "sheetData",
    "cols",
    "sheetProtection",
    "mergeCells",
    "conditionalFormatting",
    "dataValidation",
)
#: Looking up the cells of array formulas may take this many steps in one sheet: a bound against traps.
_MOST_STEPS = 20_000_000


@dataclass(slots=True)
class SheetContent:
    """What a sheet part holds, before titles and neighbouring parts are joined to it."""

    cells: dict[tuple[int, int], Cell] = field(default_factory=dict)
    duplicates: list[tuple[int, int]] = field(default_factory=list)
    hidden_rows: frozenset[int] = frozenset()
    hidden_columns: frozenset[int] = frozenset()
    merged: tuple[str, ...] = ()
    protected: bool = False
    protection_options: dict[str, str] = field(default_factory=dict)
    validations: list[Validation] = field(default_factory=list)
    conditional_formats: list[tuple[str, str]] = field(default_factory=list)


def read_sheet(
    package: Package, part: str, strings: Sequence[str], styles: int, date1904: bool, budget: TextBudget
) -> SheetContent:
    """Read a sheet part; ``styles`` is the number of cell formats in the workbook."""
    where = package.where(part)
    content = SheetContent()
    reader = CellReader(where, strings, styles, date1904, budget)
    for element in stream_xml(package.read(part), where, _PIECES):
        space, _, name = element.tag.rpartition("}")
        if name == "row":
            reader.read_row(element)
            element.clear()
        elif name == "sheetData" and space[1:] not in NAMESPACES:
            raise damaged(where, f"the XML namespace {quoted(space[1:])}", "that of a worksheet")
        else:
            _read_piece(content, name, element)
    reader.finish()
    _mark_areas(reader, where)
    content.cells = reader.cells
    content.duplicates = reader.duplicates
    content.hidden_rows = frozenset(reader.hidden_rows)
    return content


def _read_piece(content: SheetContent, name: str, element: Element) -> None:
    if name == "cols":
        content.hidden_columns = hidden_columns(children(element, "col"))
    elif name == "sheetProtection":
        content.protected, content.protection_options = read_protection(element)
    elif name == "mergeCells":
        content.merged = tuple(merge.get("ref", "") for merge in children(element, "mergeCell"))
    elif name == "conditionalFormatting":
        content.conditional_formats += read_conditional_formats(element)
    elif name == "dataValidation":
        content.validations.append(read_validation(element))


def _mark_areas(reader: CellReader, where: str) -> None:
    """Mark the cells that share an array formula or a what-if table, other than its first."""
    cells = reader.cells
    areas: list[Area] = [*(area for _, area in reader.arrays), *(area for area, _ in reader.data_tables)]
    if sum(min(area.size, len(cells)) for area in areas if area.size > 1) > _MOST_STEPS:
        raise unsafe(where, f"{len(areas)} array formulas over one another", "array formulas side by side")
    for first, area in reader.arrays:
        if area.size > 1:
            for key in list(area.keys_in(cells)):
                if key != first and cells[key].formula is None:
                    cells[key] = replace(cells[key], part_of_array=True)
    for area, shown in reader.data_tables:
        for key in list(area.keys_in(cells)):
            cells[key] = replace(cells[key], formula=shown, kind=DATA_TABLE)
