"""Marks on cells: a note and a ground, put and taken away; a person's own notes are never touched.

The last line of a note holds the ground that the cell had before, so that a mark that was moved, saved and opened
again can still be taken away.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

from quotebook_shell import engine

#: Width of a note and height of a line in it, in hundredths of a millimetre; characters that surely fit on a line.
WIDTH, LINE, CHARACTERS = 8500, 460, 38


@contextmanager
def one_step(document: Any, title: str) -> Iterator[None]:
    """Make everything inside one step of the undo history, and draw the screen once."""
    document.UndoManager.enterUndoContext(title)
    document.lockControllers()
    try:
        yield
    finally:
        document.unlockControllers()
        document.UndoManager.leaveUndoContext()


def tagged(document: Any) -> int:
    """Return how many notes of ours there are."""
    return sum(1 for sheet in _sheets(document) for note in _notes(sheet) if _ground(note.String) is not None)


def clear(document: Any) -> int:
    """Take away every mark and return how many; those on sheets protected with a password stay."""
    count = 0
    for sheet in _sheets(document):
        ours = [(note.Position, _ground(note.String)) for note in _notes(sheet) if _ground(note.String) is not None]
        if not ours:
            continue
        with _open(sheet) as is_open:
            if not is_open:
                continue
            for place, ground in ours:
                cell = sheet.getCellByPosition(place.Column, place.Row)
                cell.CellBackColor = -1 if ground == "none" else int(str(ground), 16)
                _remove(sheet, place)
                count += 1
    return count


def put(document: Any, wanted: list[dict[str, Any]]) -> list[str]:
    """Put marks on cells and return sentences on those that could not be marked."""
    tag: str = engine.settings()["tag"]
    by_sheet: dict[str, list[dict[str, Any]]] = {}
    remarks: list[str] = []
    for mark in wanted:
        by_sheet.setdefault(mark["sheet"], []).append(mark)
    for title, here in by_sheet.items():
        if not document.Sheets.hasByName(title):
            remarks.append(f'{len(here)} marks are only in the list: there is no sheet "{title}".')
            continue
        sheet = document.Sheets.getByName(title)
        with _open(sheet) as is_open:
            if not is_open:
                remarks.append(f'{len(here)} marks are only in the list: "{title}" is protected with a password.')
                continue
            noted = {(note.Position.Row, note.Position.Column) for note in _notes(sheet)}
            own = [mark for mark in here if (mark["row"] - 1, mark["column"] - 1) in noted]
            if own:
                remarks.append(f'{len(own)} cells of "{title}" carry a note already and are only in the list.')
            for mark in here:
                if mark not in own:
                    _put(sheet, mark, tag)
    return remarks


def _put(sheet: Any, mark: dict[str, Any], tag: str) -> None:
    cell = sheet.getCellByPosition(mark["column"] - 1, mark["row"] - 1)
    before = cell.CellBackColor
    ground = "none" if before < 0 else f"{before:06X}"
    text = f"{mark['note']}\n\n{tag}{ground}"
    sheet.Annotations.insertNew(cell.CellAddress, text)
    with suppress(Exception):  # only a matter of looks: the program's own notes are too narrow for sentences
        size = cell.Annotation.AnnotationShape.Size
        size.Width, size.Height = WIDTH, LINE * sum(1 + len(line) // CHARACTERS for line in text.split("\n"))
        cell.Annotation.AnnotationShape.setSize(size)
    cell.CellBackColor = int(mark["ground"], 16)


def _remove(sheet: Any, place: Any) -> None:
    notes = sheet.Annotations
    for index in range(notes.Count):
        at = notes.getByIndex(index).Position
        if (at.Row, at.Column) == (place.Row, place.Column):
            notes.removeByIndex(index)
            return


def _ground(text: str) -> str | None:
    """Return the ground that a note of ours tells, "none" or RRGGBB; None for another's note."""
    found = re.search(re.escape(engine.settings()["tag"]) + r"(none|[0-9A-F]{6})\s*\Z", text)
    return found[1] if found else None


@contextmanager
def _open(sheet: Any) -> Iterator[bool]:
    """Lift a protection without password for as long as it takes; give False where there is a password."""
    protected = sheet.isProtected()
    if protected:
        with suppress(Exception):  # the program's own class for a wrong password exists only inside the bridge
            sheet.unprotect("")
    is_open = not sheet.isProtected()
    try:
        yield is_open
    finally:
        if protected and is_open:
            sheet.protect("")


def _sheets(document: Any) -> list[Any]:
    return [document.Sheets.getByIndex(index) for index in range(document.Sheets.Count)]


def _notes(sheet: Any) -> list[Any]:
    return [sheet.Annotations.getByIndex(index) for index in range(sheet.Annotations.Count)]
