"""Lists of findings as sheets: written, and written anew into the same sheet so that no tab moves."""

from __future__ import annotations

from typing import Any

from quotebook_shell import engine

#: Everything that a cell can hold: values, dates, texts, notes, formulas, formats, styles, objects, edited formats.
ALL = 1 + 2 + 4 + 8 + 16 + 32 + 64 + 128 + 256
#: Width of one character, in hundredths of a millimetre.
CHARACTER = 190


def known() -> dict[str, list[str]]:
    """Return title and headings of every list that quotebook writes."""
    lists: dict[str, list[str]] = engine.settings()["lists"]
    return lists


def there(document: Any) -> list[str]:
    """Return the names of the sheets that are lists of ours."""
    return [name for title in known() for name in _of(document, title)]


def remove(document: Any, titles: list[str]) -> int:
    """Take the lists of these titles away and return how many there were."""
    names = [name for title in titles for name in _of(document, title)]
    for name in names:
        document.Sheets.removeByName(name)
    return len(names)


def write(document: Any, listing: dict[str, Any]) -> None:
    """Write a list; an earlier one of the same title is written anew."""
    names = _of(document, listing["title"])
    if names:
        sheet = document.Sheets.getByName(names[0])
        cursor = sheet.createCursor()
        cursor.gotoEndOfUsedArea(True)
        cursor.clearContents(ALL)
    else:
        name = _free(document, listing["title"])
        document.Sheets.insertNewByName(name, document.Sheets.Count)
        sheet = document.Sheets.getByName(name)
    _fill(document, sheet, listing["rows"], listing["widths"])


def show(document: Any, title: str) -> None:
    """Go to the list of a title."""
    for name in _of(document, title):
        document.CurrentController.setActiveSheet(document.Sheets.getByName(name))


def _fill(document: Any, sheet: Any, rows: list[list[Any]], widths: list[float]) -> None:
    width = len(rows[0])
    area = sheet.getCellRangeByPosition(0, 0, width - 1, len(rows) - 1)
    area.setDataArray(tuple(tuple(_plain(value) for value in row) for row in rows))
    area.IsTextWrapped = True
    area.VertJustify = 1
    heading = sheet.getCellRangeByPosition(0, 0, width - 1, 0)
    heading.CharWeight, heading.CellBackColor = 150.0, 0xE4E9EB
    for column, characters in enumerate(widths):
        sheet.Columns.getByIndex(column).Width = int(characters * CHARACTER)
    for row, values in enumerate(rows):
        for column, value in enumerate(values):
            if isinstance(value, dict):
                _link(document, sheet.getCellByPosition(column, row), value)


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return ""
    if value is None:
        return ""
    return float(value) if isinstance(value, (int, float)) else str(value)


def _link(document: Any, cell: Any, value: dict[str, str]) -> None:
    field = document.createInstance("com.sun.star.text.TextField.URL")
    field.Representation = value["text"]
    field.URL = "#'" + value["sheet"].replace("'", "''") + "'." + value["cell"]
    cell.insertTextContent(cell.createTextCursor(), field, False)


def _of(document: Any, title: str) -> list[str]:
    """Return the sheets with that title, a number behind it allowed, that have the headings of the list."""
    wanted = tuple(known()[title])
    found = []
    for name in document.Sheets.ElementNames:
        if name.startswith(title):
            heads = document.Sheets.getByName(name).getCellRangeByPosition(0, 0, len(wanted) - 1, 0).getDataArray()[0]
            if tuple(heads) == wanted:
                found.append(name)
    return found


def _free(document: Any, title: str) -> str:
    taken = {name.casefold() for name in document.Sheets.ElementNames}
    number, name = 1, title
    while name.casefold() in taken:
        number += 1
        name = f"{title} {number}"
    return name
