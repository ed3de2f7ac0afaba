"""Reading a workbook file into a snapshot: each part once, nothing judged, nothing calculated."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from quotebook.values import Address
from quotebook.workbook.annexes import read_comments, read_external_links, read_properties, read_table
from quotebook.workbook.dynamic_arrays import spilling
from quotebook.workbook.package import Package, open_package
from quotebook.workbook.relationships import relations_of
from quotebook.workbook.row_memory import RowMemory, SharedTexts
from quotebook.workbook.shared_formulas import TextBudget
from quotebook.workbook.sheet_reader import SheetContent, Surroundings, read_sheet
from quotebook.workbook.snapshot import Sheet, Snapshot, Table
from quotebook.workbook.styles_reader import read_styles
from quotebook.workbook.text_escapes import read_shared_strings
from quotebook.workbook.workbook_part import PRINT_AREA, SheetEntry, WorkbookPart, read_workbook_part

#: Kinds of sheets that have cells; chart and dialog sheets are listed without.
_WITH_CELLS = frozenset({"worksheet", "xlmacrosheet", "xlintlmacrosheet"})


def read_snapshot(path: str | Path, memory: RowMemory | None = None) -> Snapshot:
    """Read a workbook file. ``memory``: what earlier readings of the same batch left, which makes it faster.

    Raises NotAWorkbook when it cannot be opened or is damaged, UnsafeWorkbook when it breaks a limit.
    """
    return snapshot_of(open_package(path, None if memory is None else memory.parts), memory)


def snapshot_of(package: Package, memory: RowMemory | None = None) -> Snapshot:
    """Read an opened package; see ``read_snapshot``."""
    workbook = read_workbook_part(package)
    styles = read_styles(package, _existing(package, workbook.related("styles")))
    sheets, tables, duplicates = _read_sheets(package, workbook, len(styles), memory)
    properties, custom = read_properties(package)
    links = read_external_links(package, workbook)
    package.check_unread()
    return Snapshot(
        path=package.path,
        sheets=tuple(sheets),
        names=workbook.names,
        tables=tuple(tables),
        styles=styles,
        calculation=workbook.calculation,
        properties=properties,
        custom_properties=custom,
        application=properties.get("Application", ""),
        parts=package.names,
        external_links=links,
        has_macros=_has_macros(package, workbook),
        duplicates=tuple(duplicates),
    )


def _read_sheets(
    package: Package, workbook: WorkbookPart, styles: int, memory: RowMemory | None
) -> tuple[list[Sheet], list[Table], list[str]]:
    """Return the sheets, their tables, and the addresses held more than once."""
    strings_part = _existing(package, workbook.related("sharedstrings"))
    texts = SharedTexts({}, b"") if strings_part is None else package.made_of(strings_part, _texts)
    budget = TextBudget(str(package.path))
    around = Surroundings(texts, styles, workbook.calculation.date1904, budget, memory)
    contents = {
        entry.part: read_sheet(package, entry.part, around) if entry.kind in _WITH_CELLS else SheetContent()
        for entry in workbook.sheets
    }
    spills = spilling(package, workbook, {part: content.spilling for part, content in contents.items()})
    sheets: list[Sheet] = []
    tables: list[Table] = []
    duplicates: list[str] = []
    annexes: set[str] = set()
    print_areas = _print_areas(workbook)
    for entry in workbook.sheets:
        content = contents[entry.part]
        comments, own_tables = _read_annexes(package, entry, annexes)
        tables += own_tables
        sheet = _sheet(entry, content, comments, print_areas.get(entry.title, ""))
        sheets.append(replace(sheet, spilling=spills[entry.part]) if entry.part in spills else sheet)
        duplicates += [str(Address(entry.title, row, column)) for row, column in content.duplicates]
    return sheets, tables, duplicates


def _texts(data: bytes, where: str) -> SharedTexts:
    return SharedTexts(read_shared_strings(data, where), sha256(data).digest())


def _existing(package: Package, part: str | None) -> str | None:
    return None if part is None else package.find(part)


def _read_annexes(
    package: Package, entry: SheetEntry, done: set[str]
) -> tuple[dict[tuple[int, int], str], list[Table]]:
    """Read the notes and tables of a sheet; a part is read once however often it is pointed to."""
    comments: dict[tuple[int, int], str] = {}
    tables: list[Table] = []
    for relation in relations_of(package, entry.part).values():
        part = None if relation.external else package.find(relation.target)
        if part is None or part in done or relation.kind not in ("comments", "table"):
            continue
        done.add(part)
        if relation.kind == "comments":
            comments.update(read_comments(package, part))
        else:
            tables.append(read_table(package, part, entry.title))
    return comments, tables


def _print_areas(workbook: WorkbookPart) -> dict[str, str]:
    """Return by title what each sheet prints; the first of several names counts."""
    areas: dict[str, str] = {}
    for name in workbook.names:
        if name.sheet is not None and name.name.lower() == PRINT_AREA:
            areas.setdefault(name.sheet, name.text)
    return areas


def _has_macros(package: Package, workbook: WorkbookPart) -> bool:
    with_code = any(name.lower().endswith("vbaproject.bin") for name in package.names)
    return with_code or any("macrosheet" in entry.kind for entry in workbook.sheets)


def _sheet(entry: SheetEntry, content: SheetContent, comments: dict[tuple[int, int], str], print_area: str) -> Sheet:
    return Sheet(
        title=entry.title,
        part=entry.part,
        state=entry.state,
        cells=content.cells,
        protected=content.protected,
        protection_options=content.protection_options,
        validations=tuple(content.validations),
        merged=content.merged,
        hidden_rows=content.hidden_rows,
        hidden_columns=content.hidden_columns,
        conditional_formats=tuple(content.conditional_formats),
        comments=comments,
        print_area=print_area,
        worked_out=content.worked_out,
    )
