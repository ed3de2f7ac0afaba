"""Faults of the file: a name that points elsewhere, results older than the inputs."""

from __future__ import annotations

import re
from random import Random
from xml.sax.saxutils import escape

from quotebook.engine.precedents import Precedents
from quotebook.values import Address, column_letters
from quotebook.workbook.changes import NewInput
from tests.faults.fault import Fault, WorkbookEdit, shuffled
from tests.faults.ground import Ground

_CALC = re.compile(rb"<calcPr\b[^>]*/>")


def wandering_name(ground: Ground, draw: Random) -> Fault | None:
    """A name moved by one row or column, moved to another sheet, or shadowed by a name of the formula's sheet."""
    used: dict[str, list[Address]] = {}
    for cell, mentions in Precedents(ground.book).mentions.items():
        if cell in ground.chain:
            for _, name in mentions.names:
                used.setdefault(name.casefold(), []).append(cell)
    names = {n.name.casefold(): n.name for n in ground.snapshot.names if n.sheet is None}
    for key in shuffled(draw, sorted(used)):
        area = ground.name_areas.get(key)
        if area is None:
            continue
        title, row, column, rows, columns = area
        way = draw.choice(("row", "column", "sheet", "shadow"))
        step = draw.choice((-1, 1))
        if way == "sheet":
            others = [sheet.title for sheet in ground.snapshot.sheets if sheet.title != title]
            if not others:
                continue
            title = draw.choice(others)
        elif way == "column":
            column = max(1, column + step)
        else:
            row = max(1, row + step)
        text = _area_text(title, row, column, rows, columns)
        if text == _area_text(*area):
            continue
        sheet = used[key][0].sheet
        edit = _shadow(ground, names[key], sheet, text) if way == "shadow" else _repoint(names[key], text)
        first, now = Address(area[0], area[1], area[2]), Address(title, row, column)
        return Fault(
            (first,), {}, _area_text(*area), text, f"name {names[key]} by {way}", also=(now, *used[key]),
            name=names[key], workbook_edit=edit, form=way,
        )  # fmt: skip
    return None


def stale_price(ground: Ground, draw: Random) -> Fault | None:
    """A typed number changed with calculation set to manual, so that the old results stay."""
    for cell in shuffled(draw, ground.number_inputs):
        if ground.fields.get(cell, ("", "", "number"))[2] in ("date", "days"):
            continue
        value = ground.number(cell) or 0.0
        new = float(f"{value * draw.choice((0.7, 0.8, 1.25, 1.4)):.6g}")
        if value == round(value) and round(new) != value:
            new = float(round(new))
        readers = tuple(ground.dependants(cell))
        return Fault(
            (cell,), {cell: NewInput(new)}, repr(value), repr(new), "input changed, results kept",
            also=(*readers, *ground.prices), workbook_edit=set_manual, stale_only=True,
        )  # fmt: skip
    return None


def set_manual(workbook: bytes) -> bytes:
    """Set manual calculation in a workbook part."""
    return with_calculation(workbook, b'<calcPr calcId="191029" calcMode="manual"/>')


def with_calculation(workbook: bytes, element: bytes) -> bytes:
    """Replace the calculation settings of a workbook part, or put them where the format wants them."""
    if _CALC.search(workbook):
        return _CALC.sub(element, workbook)
    for mark in (b"</definedNames>", b"</externalReferences>", b"</sheets>"):
        if mark in workbook:
            return workbook.replace(mark, mark + element, 1)
    raise AssertionError("a workbook part without sheets")


def _area_text(title: str, row: int, column: int, rows: int, columns: int) -> str:
    sheet = title if re.fullmatch(r"[A-Za-z_]\w*", title) else "'" + title.replace("'", "''") + "'"
    first = f"${column_letters(column)}${row}"
    if (rows, columns) == (1, 1):
        return f"{sheet}!{first}"
    return f"{sheet}!{first}:${column_letters(column + columns - 1)}${row + rows - 1}"


def _repoint(name: str, text: str) -> WorkbookEdit:
    pattern = re.compile(rb'(<definedName\b(?![^>]*localSheetId)[^>]*\bname="' + name.encode() + rb'"[^>]*>)[^<]*')
    new = escape(text).encode()

    def edit(workbook: bytes) -> bytes:
        changed, count = pattern.subn(lambda match: match[1] + new, workbook)
        assert count == 1, f"{count} names {name}"
        return changed

    return edit


def _shadow(ground: Ground, name: str, sheet: str, text: str) -> WorkbookEdit:
    number = [each.title for each in ground.snapshot.sheets].index(sheet)
    entry = f'<definedName name="{name}" localSheetId="{number}">{escape(text)}</definedName>'.encode()

    def edit(workbook: bytes) -> bytes:
        assert b"</definedNames>" in workbook, "the name to be shadowed stands there"
        return workbook.replace(b"</definedNames>", entry + b"</definedNames>", 1)

    return edit
