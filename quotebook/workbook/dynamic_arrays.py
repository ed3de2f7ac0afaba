"""Array formulas that spill: which cells they want is worked out anew, and they show #SPILL! where one is in the way.

A sheet says by two numbers what a cell and its value are beside the plain: ``cm`` and ``vm`` count entries of the
metadata part, and an entry for a value leads to a rich value. The stored error is #VALUE! for older programs; that it
is #SPILL! is told by the rich value (errorType 8), with the distance to the first cell in the way. Two workbooks may
hold the same sheet part and mean different things by these numbers, so a sheet keeps them as they are, and they get
their meaning only with the workbook's own metadata.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from quotebook.errors import NotAWorkbook
from quotebook.workbook.package import Package
from quotebook.workbook.snapshot import Spilling
from quotebook.workbook.workbook_part import WorkbookPart
from quotebook.workbook.xml_parts import Element, child, children, parse_xml, text_of, whole

SPILL = "#SPILL!"
_DYNAMIC, _RICH = "XLDAPR", "XLRICHVALUE"
#: errorType of #SPILL!, and the subTypes whose meaning is known.
_SPILL_TYPE = 8
_CAUSES = {1: "filled cell", 3: "edge of the sheet", 6: "merged cells"}
#: A distance beyond the edge of a sheet is none.
_FARTHEST = 1_048_576


class Numbers(NamedTuple):
    """What a sheet says of an array formula's cell: ``cm`` and ``vm``, 0 for none, and the text of a stored error."""

    cell: int
    value: int
    error: str


Key = tuple[int, int]


def numbers_of(formula: Element) -> Numbers | None:
    """Return the numbers beside an array formula, given its f element; None for one that does not spill."""
    cell = formula.getparent()
    mark = whole(cell.get("cm"))
    if not mark:
        return None
    error = text_of(child(cell, "v")).strip() if cell.get("t") == "e" else ""
    return Numbers(mark, whole(cell.get("vm")), error)


def spilling(
    package: Package, workbook: WorkbookPart, sheets: Mapping[str, Mapping[Key, Numbers]]
) -> dict[str, dict[Key, Spilling]]:
    """Return the array formulas that spill, by the part of their sheet. Metadata that cannot be read say nothing."""
    if not any(sheets.values()):
        return {}
    try:
        return _spilling(package, workbook, sheets)
    except NotAWorkbook:
        return {}


def _spilling(
    package: Package, workbook: WorkbookPart, sheets: Mapping[str, Mapping[Key, Numbers]]
) -> dict[str, dict[Key, Spilling]]:
    metadata = _root(package, workbook, "sheetmetadata")
    dynamic, rich = _entries(metadata, "cellMetadata", _DYNAMIC), _entries(metadata, "valueMetadata", _RICH)
    is_error = any(one.value and one.error for numbers in sheets.values() for one in numbers.values())
    blocked = _blocked(package, workbook) if is_error and rich else {}
    found: dict[str, dict[Key, Spilling]] = {}
    for part, numbers in sheets.items():
        for key, one in numbers.items():
            if one.cell in dynamic and _says(dynamic[one.cell], "dynamicArrayProperties", "fDynamic") in ("1", "true"):
                found.setdefault(part, {})[key] = _told(one, rich, blocked)
    return found


def _told(one: Numbers, rich: Mapping[int, Element], blocked: Mapping[int, Spilling]) -> Spilling:
    entry = rich.get(one.value) if one.error else None
    number = None if entry is None else whole(_says(entry, "rvb", "i"), default=-1)
    if number is not None and number in blocked:
        return blocked[number]
    return Spilling(is_blocked=one.error == SPILL)


def _root(package: Package, workbook: WorkbookPart, kind: str) -> Element | None:
    target = workbook.related(kind)
    part = None if target is None else package.find(target)
    return None if part is None else parse_xml(package.read(part), package.where(part))


def _entries(metadata: Element | None, block: str, kind: str) -> dict[int, Element]:
    """Return the entries of one kind that the numbers of a block lead to, numbers counted from 1."""
    if metadata is None:
        return {}
    kinds = [one.get("name", "") for one in children(child(metadata, "metadataTypes"), "metadataType")]
    future = next((one for one in children(metadata, "futureMetadata") if one.get("name") == kind), None)
    entries = children(future, "bk")
    found: dict[int, Element] = {}
    for number, entry in enumerate(children(child(metadata, block), "bk"), start=1):
        for record in children(entry, "rc"):
            which, index = whole(record.get("t")), whole(record.get("v"), default=len(entries))
            if 1 <= which <= len(kinds) and kinds[which - 1] == kind and index < len(entries):
                found[number] = entries[index]
    return found


def _says(entry: Element, element: str, attribute: str) -> str:
    """Return what an element somewhere inside an entry says, "" where it is not there."""
    one = next(entry.iter(f"{{*}}{element}"), None)
    return "" if one is None else str(one.get(attribute, ""))


def _blocked(package: Package, workbook: WorkbookPart) -> dict[int, Spilling]:
    """Return the rich values that are a #SPILL!, by their number from 0."""
    values = children(_root(package, workbook, "rdrichvalue"), "rv")
    shapes = [
        [key.get("n", "") for key in children(one, "k")] if one.get("t") == "_error" else []
        for one in children(_root(package, workbook, "rdrichvaluestructure"), "s")
    ]
    found: dict[int, Spilling] = {}
    for number, value in enumerate(values):
        shape = whole(value.get("s"), default=len(shapes))
        words = shapes[shape] if shape < len(shapes) else []
        says = dict(zip(words, (whole(text_of(one), default=-1) for one in children(value, "v")), strict=False))
        if says.get("errorType") == _SPILL_TYPE:
            down, right = says.get("rwOffset", -1), says.get("colOffset", -1)
            is_place = 0 <= down < _FARTHEST and 0 <= right < _FARTHEST and (down, right) != (0, 0)
            found[number] = Spilling(True, (down, right) if is_place else None, _CAUSES.get(says.get("subType", 0), ""))
    return found
