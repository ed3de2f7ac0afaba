"""The workbook part: sheets in order, defined names, how it wants to be calculated."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from quotebook.errors import NotAWorkbook
from quotebook.workbook.package import Package
from quotebook.workbook.refusals import damaged, not_a_workbook, quoted
from quotebook.workbook.relationships import Relation, main_part, relations_of
from quotebook.workbook.snapshot import Calculation, DefinedName
from quotebook.workbook.text_escapes import unescaped
from quotebook.workbook.xml_parts import (
    Element,
    child,
    children,
    flag,
    local,
    parse_xml,
    relation_id,
    text_of,
    whole,
)

PRINT_AREA = "_xlnm.print_area"


@dataclass(frozen=True, slots=True)
class SheetEntry:
    """A sheet as the workbook part lists it; ``kind`` is the kind of its relation ("worksheet", "chartsheet")."""

    title: str
    part: str
    state: str
    kind: str


@dataclass(frozen=True, slots=True)
class WorkbookPart:
    """What the workbook part says."""

    name: str
    sheets: tuple[SheetEntry, ...]
    names: tuple[DefinedName, ...]
    calculation: Calculation
    relations: dict[str, Relation]
    external_ids: tuple[str, ...]

    def related(self, kind: str) -> str | None:
        """Return the first part of a kind that the workbook points to, or None."""
        targets = (relation.target for relation in self.relations.values() if relation.kind == kind)
        return next(targets, None)


def read_workbook_part(package: Package) -> WorkbookPart:
    """Read the workbook part; NotAWorkbook if there is none or its sheets cannot be told apart."""
    name = main_part(package)
    if name is None:
        raise _no_workbook(package, "a package without a workbook part")
    said = package.made_of(name, _said)
    if said.kind != "workbook":
        raise _no_workbook(package, f"a main part of the kind {quoted(said.kind)}")
    relations = relations_of(package, name)
    return WorkbookPart(
        name=name,
        sheets=_sheets(package, name, said.sheets, relations),
        names=said.names,
        calculation=said.calculation,
        relations=relations,
        external_ids=said.external_ids,
    )


class _Listed(NamedTuple):
    """A sheet as it is listed; ``identity``: of the pointer to its part."""

    title: str
    identity: str
    state: str


class _Said(NamedTuple):
    """What stands in the workbook part itself. ``kind``: the name of its first element."""

    kind: str
    sheets: tuple[_Listed, ...]
    names: tuple[DefinedName, ...]
    calculation: Calculation
    external_ids: tuple[str, ...]


def _said(data: bytes, where: str) -> _Said:
    root = parse_xml(data, where)
    sheets = tuple(
        _Listed(unescaped(element.get("name", "")), relation_id(element), element.get("state", "visible"))
        for element in children(child(root, "sheets"), "sheet")
    )
    external = children(child(root, "externalReferences"), "externalReference")
    return _Said(local(root), sheets, _names(root, sheets), _calculation(root), tuple(map(relation_id, external)))


def _no_workbook(package: Package, found: str) -> NotAWorkbook:
    remedy = "open it in the spreadsheet program and save it as .xlsx"
    return not_a_workbook(str(package.path), found, "an .xlsx or .xlsm workbook", remedy)


def _sheets(
    package: Package, name: str, listed: tuple[_Listed, ...], relations: dict[str, Relation]
) -> tuple[SheetEntry, ...]:
    where = package.where(name)
    entries: list[SheetEntry] = []
    titles: set[str] = set()
    parts: set[str] = set()
    for title, identity, state in listed:
        relation = relations.get(identity)
        if relation is None or package.find(relation.target) is None:
            raise damaged(where, f"the sheet {quoted(title)} without its content", "every sheet in the file")
        if title.casefold() in titles or relation.target in parts:
            raise damaged(where, f"the sheet {quoted(title)} twice", "each sheet once")
        titles.add(title.casefold())
        parts.add(relation.target)
        entries.append(SheetEntry(title, relation.target, state, relation.kind))
    if not entries:
        raise damaged(where, "no sheet", "at least one sheet")
    return tuple(entries)


def _names(root: Element, sheets: tuple[_Listed, ...]) -> tuple[DefinedName, ...]:
    found: list[DefinedName] = []
    for element in children(child(root, "definedNames"), "definedName"):
        index = element.get("localSheetId")
        number = whole(index, default=len(sheets))
        if index is not None and number >= len(sheets):
            continue  # the name of a sheet that is not there can be used by no formula
        found.append(
            DefinedName(
                name=element.get("name", ""),
                text=unescaped(text_of(element)).strip().removeprefix("="),
                sheet=None if index is None else sheets[number].title,
                hidden=flag(element.get("hidden")),
            )
        )
    return tuple(found)


def _calculation(root: Element) -> Calculation:
    properties, calculation = child(root, "workbookPr"), child(root, "calcPr")
    date1904 = properties is not None and flag(properties.get("date1904"))
    if calculation is None:
        return Calculation(date1904=date1904)
    return Calculation(
        mode=calculation.get("calcMode", "auto"),
        iterate=flag(calculation.get("iterate")),
        full_precision=flag(calculation.get("fullPrecision"), default=True),
        date1904=date1904,
        full_calc_on_load=flag(calculation.get("fullCalcOnLoad")),
    )
