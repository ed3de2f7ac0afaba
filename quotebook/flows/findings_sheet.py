"""How findings look inside a workbook: the rows of the list, the note on each cell, its ground.

One wording for the marked copy and for the spreadsheet-side add-in, so that a person meets the same list everywhere.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from quotebook.audit.finding import Finding
from quotebook.audit.place import area_of
from quotebook.values import Address
from quotebook.workbook.areas import cell_name
from quotebook.workbook.list_sheet import Link, SheetRow
from quotebook.workbook.snapshot import Sheet, Snapshot

TITLE = "Audit findings"
#: Title of the sheet on which the add-in lists what recomputing found.
RECOMPUTED_TITLE = "Recomputed differences"
HEADINGS = (
    "No.", "level", "check", "where", "field", "found", "expected", "effect on price", "evidence", "how to mend",
)  # fmt: skip
WIDTHS = (5, 16, 26, 22, 24, 34, 34, 14, 60, 60)
RECOMPUTED_HEADINGS = ("No.", "between", "where", "field", "stored", "recomputed", "reference", "likely reason")
RECOMPUTED_WIDTHS = (5, 24, 22, 26, 22, 22, 22, 60)
#: Headings by which a list of ours is told from a person's own sheet of the same title.
LISTS = {TITLE: HEADINGS, RECOMPUTED_TITLE: RECOMPUTED_HEADINGS}
#: Cells that one finding marks at most.
MOST_MARKS = 500
#: Cells that are marked at most in one workbook; more would help nobody and take long to draw.
MOST_IN_ALL = 3000
#: Hatching of the two graver and of the two lesser levels, and the plain tints where there is no hatching.
GRAVE, LESSER = "C0392B", "B7950B"
TINTS = {GRAVE: "F6CFC9", LESSER: "FBEBB5"}
#: The last line of every note of ours begins so; what follows is the cell's ground before, RRGGBB or "none".
TAG = "Mark of quotebook; ground before: "
#: Characters of one text in a note; the list has all of it.
LONGEST = 300

_TAGGED = re.compile(re.escape(TAG) + r"(none|[0-9A-F]{6})\s*\Z")


@dataclass(frozen=True, slots=True)
class CellMark:
    """What one cell gets. ``color``: RRGGBB, GRAVE or LESSER; ``note``: without the tag line."""

    color: str
    note: str


def list_rows(findings: Sequence[Finding]) -> list[SheetRow]:
    """Return the rows of the list, its headings first."""
    return [list(HEADINGS), *(_row(number, one) for number, one in enumerate(findings, start=1))]


def marks_of(findings: Sequence[Finding]) -> dict[Address, CellMark]:
    """Return what each cell gets: the note names every finding on it, the ground shows the worst."""
    marks: dict[Address, CellMark] = {}
    for number, finding in enumerate(findings, start=1):
        color, note = GRAVE if finding.severity.is_grave else LESSER, note_text(number, finding)
        for address in _cells(finding):
            before = marks.get(address)
            if before is not None:
                marks[address] = CellMark(before.color, f"{before.note}\n\n{note}")
            elif len(marks) < MOST_IN_ALL:
                marks[address] = CellMark(color, note)
    return marks


def note_text(number: int, finding: Finding) -> str:
    """Return what the note on a cell says of one finding."""
    lines = [f"{number}. {finding.severity.value}: {finding.check}"]
    lines += [f"Found: {_short(finding.found)}"] if finding.found else []
    lines += [f"Expected: {_short(finding.expected)}"] if finding.expected else []
    lines += [f"Mend: {_short(finding.mend)}"] if finding.mend else []
    return "\n".join(lines)


def tag_line(ground: str) -> str:
    """Return the last line of a note. ``ground``: the cell's own ground before, RRGGBB, or "" for none."""
    return TAG + (ground.upper() or "none")


def without_own_marks(snapshot: Snapshot) -> Snapshot:
    """Return the snapshot without the lists and notes that quotebook put in: nobody's work is judged by them."""
    sheets = tuple(_without_notes(sheet) for sheet in snapshot.sheets if not is_list(sheet))
    if len(sheets) == len(snapshot.sheets) and all(a is b for a, b in zip(sheets, snapshot.sheets, strict=True)):
        return snapshot
    return replace(snapshot, sheets=sheets)


def own_grounds(snapshot: Snapshot) -> dict[Address, str]:
    """Return the cells that carry a note of ours, with the ground that each had before: RRGGBB, or "" for none."""
    found: dict[Address, str] = {}
    for sheet in snapshot.sheets:
        for (row, column), text in sheet.comments.items():
            match = _TAGGED.search(text)
            if match is not None:
                found[Address(sheet.title, row, column)] = match[1].replace("none", "")
    return found


def is_list(sheet: Sheet) -> bool:
    """Tell whether a sheet is a list of ours: by title and headings, and because it holds no formula."""
    title = next((title for title in LISTS if sheet.title.startswith(title)), None)
    if title is None or any(cell.formula is not None for cell in sheet.cells.values()):
        return False
    heads = (sheet.cells.get((1, column)) for column in range(1, len(LISTS[title]) + 1))
    return tuple(cell.value if cell is not None else None for cell in heads) == LISTS[title]


def _without_notes(sheet: Sheet) -> Sheet:
    kept = {key: text for key, text in sheet.comments.items() if not _TAGGED.search(text)}
    return sheet if len(kept) == len(sheet.comments) else replace(sheet, comments=kept)


def _cells(finding: Finding) -> Iterator[Address]:
    area = area_of(finding.cells)
    if area is None:
        return
    count = 0
    for row in range(area.first_row, area.last_row + 1):
        for column in range(area.first_column, area.last_column + 1):
            if count >= MOST_MARKS:
                return
            count += 1
            yield Address(finding.sheet, row, column)


def _row(number: int, finding: Finding) -> SheetRow:
    area = area_of(finding.cells)
    first = cell_name(area.first_row, area.first_column) if area is not None else ""
    where: str | Link = "the workbook" if not first else Link(f"{finding.sheet} {finding.cells}", finding.sheet, first)
    effect: str | float = "unknown" if finding.effect_on_price is None else finding.effect_on_price
    evidence = "; ".join(map(str, finding.evidence))
    return [
        float(number), finding.severity.value, finding.check, where, finding.field, finding.found, finding.expected,
        effect, evidence, finding.mend,
    ]  # fmt: skip


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
