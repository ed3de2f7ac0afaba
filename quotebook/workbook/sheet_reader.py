"""One pass over a sheet part: cells, and the rules around them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from quotebook.clock import tick
from quotebook.workbook.areas import Area
from quotebook.workbook.cell_formulas import DATA_TABLE, FormulaReader
from quotebook.workbook.cell_reader import CellReader
from quotebook.workbook.cell_values import ValueReader
from quotebook.workbook.dynamic_arrays import Numbers
from quotebook.workbook.package import Package
from quotebook.workbook.refusals import damaged, quoted, unsafe
from quotebook.workbook.row_memory import CutSheet, ExactKey, KnownRow, RowMemory, SharedTexts
from quotebook.workbook.shared_formulas import TextBudget
from quotebook.workbook.sheet_rules import (
    hidden_columns,
    read_conditional_formats,
    read_protection,
    read_validation,
)
from quotebook.workbook.snapshot import Cell, Validation
from quotebook.workbook.xml_parts import Element, children, find_all, stream_xml

#: Namespaces of sheets: transitional, strict, and the old macro sheets.
NAMESPACES = frozenset(
    {
        "http://schemas.openxmlformats.org/spreadsheetml/2006/main",
        "http://purl.oclc.org/ooxml/spreadsheetml/main",
        "http://schemas.microsoft.com/office/excel/2006/main",
    }
)
_PIECES = (
    "sheetData",
    "cols",
    "sheetProtection",
    "mergeCells",
    "conditionalFormatting",
    "dataValidation",
)
#: A larger part is taken in row by row, which is slower but needs little memory.
_WHOLE_UP_TO = 8_000_000
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
    spilling: dict[tuple[int, int], Numbers] = field(default_factory=dict)
    worked_out: dict[object, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What all sheets of a workbook share. ``styles``: the number of cell formats; ``texts``: as in ``row_memory``.

    ``memory``: rows of other workbooks of the same batch, if there is one.
    """

    texts: SharedTexts
    styles: int
    date1904: bool
    budget: TextBudget
    memory: RowMemory | None = None


def read_sheet(package: Package, part: str, around: Surroundings) -> SheetContent:
    """Read a sheet part."""
    where, memory = package.where(part), around.memory
    if memory is None:
        content = _read(where, package.read(part), around, None)
    else:
        exact = (package.digest(part), around.texts.digest, (around.styles, around.date1904))
        content = memory.exact_sheet(exact)
        if content is None:
            data = package.read(part)
            content = _remembered(where, data, around, memory, exact) or _read(where, data, around, None)
    assert content is not None
    return content


def _remembered(
    where: str, data: bytes, around: Surroundings, memory: RowMemory, exact: ExactKey
) -> SheetContent | None:
    """Read a part with what the memory knows of it; None where it has to be read as a whole."""
    if len(data) > _WHOLE_UP_TO:
        return None
    part = memory.part(data, around.texts, exact[2])
    if part is None:
        return None
    content = memory.known_sheet(part, exact)
    if content is not None:
        return content
    cut = memory.cut(part, around.texts)
    if cut is None:
        return None
    content = _read(where, cut.rest, around, cut)
    if content is not None and cut.told:
        memory.learn_sheet(part, exact, content)
    return content


def _read(where: str, data: bytes, around: Surroundings, cut: CutSheet | None) -> SheetContent | None:
    """Read a part; None where it was cut into rows and they do not hold their own cells, each once."""
    content = SheetContent()
    formulas = FormulaReader(around.budget)
    reader = CellReader(where, ValueReader(where, around.texts.strings, around.date1904), formulas, around.styles)
    by_row = len(data) > _WHOLE_UP_TO
    for element in stream_xml(data, where, ("row", *_PIECES)) if by_row else find_all(data, where, _PIECES):
        tick()
        space, _, name = element.tag.rpartition("}")
        if name == "row":
            reader.read_row(element)
            element.clear()
        elif name == "sheetData":
            if space[1:] not in NAMESPACES:
                raise damaged(where, f"the XML namespace {quoted(space[1:])}", "that of a worksheet")
            rows = () if by_row else element.iterchildren(f"{space}}}row")
            if cut is None:
                for row in rows:
                    tick()
                    reader.read_row(row)
            elif not _read_cut(reader, iter(rows), cut, around.memory):
                return None
        else:
            _read_piece(content, name, element)
    formulas.settle(reader.cells)
    _mark_areas(reader.cells, formulas, where)
    content.cells = reader.cells
    content.duplicates = reader.duplicates
    content.spilling = {key: one for key, one in formulas.spilling.items() if reader.cells[key].array_range}
    content.hidden_rows = frozenset(reader.hidden_rows)
    return content


def _read_cut(reader: CellReader, rows: Iterator[Element], cut: CutSheet, memory: RowMemory | None) -> bool:
    """Take in known rows and row elements in file order; False where a row holds more than its own cells."""
    assert memory is not None
    for row in cut.rows:
        if isinstance(row, KnownRow):
            reader.take(row)
            continue
        element = next(rows, None)
        found = reader.read_and_tell(element) if element is not None else None
        if element is None or found is None:
            return False
        cut.told &= memory.learn(row, found, sum(cell.get("t") == "s" for cell in element))
    return next(rows, None) is None


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


def _mark_areas(cells: dict[tuple[int, int], Cell], formulas: FormulaReader, where: str) -> None:
    """Mark the cells that share an array formula or a what-if table, other than its first."""
    areas: list[Area] = [
        *(area for _, area in formulas.arrays),
        *(area for area, _ in formulas.data_tables),
    ]
    if sum(min(area.size, len(cells)) for area in areas if area.size > 1) > _MOST_STEPS:
        raise unsafe(where, f"{len(areas)} array formulas over one another", "array formulas side by side")
    for first, area in formulas.arrays:
        if area.size > 1:
            for key in list(area.keys_in(cells)):
                if key != first and cells[key].formula is None:
                    cells[key] = replace(cells[key], part_of_array=True)
    for area, shown in formulas.data_tables:
        for key in list(area.keys_in(cells)):
            cells[key] = replace(cells[key], formula=shown, kind=DATA_TABLE)
