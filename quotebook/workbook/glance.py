"""A few named cells of a workbook, read without the rest: only the sheets that they stand on."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import islice
from pathlib import Path

from quotebook.values import Value
from quotebook.workbook.areas import Area
from quotebook.workbook.located import parse_reference
from quotebook.workbook.package import open_package
from quotebook.workbook.row_memory import SharedTexts
from quotebook.workbook.shared_formulas import TextBudget
from quotebook.workbook.sheet_reader import Surroundings, read_sheet
from quotebook.workbook.text_escapes import read_shared_strings
from quotebook.workbook.workbook_part import read_workbook_part

_PLAIN = "worksheet"


#: Cells of one name that are looked at.
MOST_CELLS = 200


def named_cells(path: Path, names: Collection[str]) -> Mapping[str, tuple[Value, ...]]:
    """Return what stands, as typed or as stored at the last save, in the cells of some names of the workbook, by name.

    Row by row, None for a blank, at most MOST_CELLS of each. Names that there are not, or that point to no cells, are
    left out; without any of them no sheet is read.
    Errors: NotAWorkbook when the file cannot be opened or is damaged, UnsafeWorkbook when it breaks a limit.
    """
    package = open_package(path)
    workbook = read_workbook_part(package)
    wanted = {name.casefold(): name for name in names}
    parts = {entry.title.casefold(): entry.part for entry in workbook.sheets if entry.kind == _PLAIN}
    places: dict[str, list[tuple[str, Area]]] = {}
    for defined in workbook.names:
        area = parse_reference(defined.text) if defined.sheet is None and defined.name.casefold() in wanted else None
        part = parts.get(area[0].casefold()) if area is not None else None
        if area is not None and part is not None:
            _, row, column, rows, columns = area
            cells = Area(row, column, row + rows - 1, column + columns - 1)
            places.setdefault(part, []).append((wanted[defined.name.casefold()], cells))
    if not places:
        return {}
    strings = workbook.related("sharedstrings")
    strings = None if strings is None else package.find(strings)
    texts = SharedTexts(read_shared_strings(package.read(strings), package.where(strings)) if strings else {}, b"")
    around = Surroundings(texts, 0, workbook.calculation.date1904, TextBudget(str(path)))
    found: dict[str, tuple[Value, ...]] = {}
    for part, areas in places.items():
        content = read_sheet(package, part, around).cells
        for name, cells in areas:
            down, right = range(cells[0], cells[2] + 1), range(cells[1], cells[3] + 1)
            keys = islice(((row, column) for row in down for column in right), MOST_CELLS)
            found[name] = tuple(content[key].value if key in content else None for key in keys)
    return found
