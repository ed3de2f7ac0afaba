"""Every text that a workbook carries, seen or not, with its place: for checks that look for words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from typing import NamedTuple

from quotebook.audit.package_facts import package_facts
from quotebook.audit.view import BookView
from quotebook.clock import tick
from quotebook.errors import BookError
from quotebook.values import Address
from quotebook.workbook.areas import parse_area
from quotebook.workbook.contract import contract_sheet
from quotebook.workbook.snapshot import Sheet

#: Parts with nothing that a person wrote, and those whose texts a snapshot holds.
_LEFT_OUT = re.compile(
    r"(^|/)(\[content_types\]\.xml|styles\.xml|theme/[^/]*|calcchain\.xml|workbook\.xml|metadata\.xml|comments[^/]*\.xml"
    r"|docprops/[^/]*|tables/[^/]*|_rels/\.rels)$"
)
#: Commands of headers and footers: &C, &16, &"font".
_PRINT_CODE = re.compile(r'&(?:"[^"]*"|\d+|[A-Z])')
#: Texts in a formula, and the names of other files that it refers to; sheets and names are told by themselves.
_WORDS_INSIDE = re.compile(r'"[^"]*"|\[[^\]]*\]')
#: Bytes of a part that are looked at in one go, and how far into the next: further than the longest name.
_PIECE, _OVERLAP = 500_000, 1_000
_END_OF_ROWS = b"</sheetData>"
#: Kinds of places, in the order in which a person goes and looks.
CELL, FORMULA, NOTE, RULE, SHEET, RESULT, NAME, PROPERTY, PART, KEPT = range(10)


class Said(NamedTuple):
    """A text. ``cell``: None where it stands on no cell; ``where``: the place in words."""

    kind: int
    cell: Address | None
    where: str
    text: str


def all_texts(view: BookView) -> Iterator[Said]:
    """Yield the texts of cells, notes and rules, sheet by sheet, then those of the workbook and of its other parts.

    Not yielded: the contract's own sheet, and texts that only stand in the file's styles. RESULT: a formula's stored
    text. KEPT: a shared text, whether a cell uses it or not; KEPT ones come last.
    """
    promised = contract_sheet(view.snapshot) if view.contract is not None else None
    for sheet in view.snapshot.sheets:
        if sheet is not promised:
            yield from _on_sheet(sheet)
    for name in view.snapshot.names:
        yield Said(NAME, None, f"the defined name {name.name}", f"{name.name} {name.text}")
    for label, text in (*view.snapshot.properties.items(), *view.snapshot.custom_properties.items()):
        yield Said(PROPERTY, None, f"the file's property {label}", text)
    for target in view.snapshot.external_links:
        yield Said(PROPERTY, None, "the link to another workbook", target)
    yield Said(PROPERTY, None, "the folder that the file was saved in", package_facts(view).saved_in)
    try:
        yield from _in_parts(view, promised)
    except BookError:
        return  # the file is gone or was changed since it was read


def _on_sheet(sheet: Sheet) -> Iterator[Said]:
    title = sheet.title
    yield Said(SHEET, None, f"the sheet's title {title!r}", title)
    for (row, column), cell in sheet.cells.items():
        text, formula = cell.value, cell.formula
        if formula is not None and ('"' in formula or "[" in formula):
            tick()
            yield Said(FORMULA, Address(title, row, column), "a formula", " ".join(_WORDS_INSIDE.findall(formula)))
        if isinstance(text, str) and text:
            tick()
            if formula is not None or cell.part_of_array:
                yield Said(RESULT, Address(title, row, column), "a stored result", text)
            else:
                yield Said(CELL, Address(title, row, column), "a cell", text)
    for (row, column), text in sheet.comments.items():
        yield Said(NOTE, Address(title, row, column), "a note", text)
    for rule in sheet.validations:
        area = parse_area(rule.ranges[0]) if rule.ranges else None
        cell_at = None if area is None else Address(title, area.first_row, area.first_column)
        words = (rule.formula1, rule.formula2, rule.error_text, rule.prompt_text)
        yield Said(RULE, cell_at, "a rule for entries", " | ".join(words))
    for ranges, text in sheet.conditional_formats:
        area = parse_area(ranges.split(" ")[0])
        cell_at = None if area is None else Address(title, area.first_row, area.first_column)
        yield Said(RULE, cell_at, "a colour rule", text)


def _in_parts(view: BookView, promised: Sheet | None) -> Iterator[Said]:
    package = view.package
    sheets = {sheet.part: sheet for sheet in view.snapshot.sheets}
    is_whole = True
    kept: list[str] = []
    for name in sorted(package.names):
        low = name.lower()
        if not low.endswith((".xml", ".rels", ".vml")) or _LEFT_OUT.search(low):
            continue
        tick()
        if name in sheets:
            if sheets[name] is not promised:
                data = package.read(name)
                head, tail = data.find(b"<sheetData"), data.rfind(_END_OF_ROWS)
                around = data[: max(head, 0)] + b" " + data[tail + len(_END_OF_ROWS) if tail >= 0 else len(data) :]
                yield from _in_pieces(PART, f"what stands around the cells of the sheet {sheets[name].title!r}", around)
        elif "/worksheets/sheet" in low and low.endswith(".xml"):
            is_whole = False  # a list of findings of ours, left out of the snapshot, uses shared texts too
        elif low.endswith("sharedstrings.xml"):
            kept.append(name)
        else:
            yield from _in_pieces(PART, f"the part {name}", package.read(name))
    for name in kept if is_whole else ():
        yield from _in_pieces(KEPT, f"a text that no cell shows any more, in the part {name}", package.read(name))


def _in_pieces(kind: int, where: str, data: bytes) -> Iterator[Said]:
    """Yield the text of a part in pieces that overlap a little, so that a part made to be slow ends in time."""
    for start in range(0, max(len(data), 1), _PIECE):
        tick()
        yield Said(kind, None, where, _words(data[start : start + _PIECE + _OVERLAP]))


def _words(data: bytes) -> str:
    return _PRINT_CODE.sub(" ", unescape(data.decode("utf-8", "replace")))
