"""Parts beside the sheets: tables, notes, external links, document properties."""

from __future__ import annotations

from collections.abc import Mapping

from quotebook.workbook.areas import parse_cell
from quotebook.workbook.package import Package
from quotebook.workbook.refusals import damaged, quoted
from quotebook.workbook.relationships import relations_of
from quotebook.workbook.snapshot import Table
from quotebook.workbook.text_escapes import rich_text, unescaped
from quotebook.workbook.workbook_part import WorkbookPart
from quotebook.workbook.xml_parts import child, children, local, parse_xml, text_of, whole


def read_table(package: Package, part: str, sheet: str) -> Table:
    """Read a table part of a sheet; its name is the one that formulas use."""
    return package.made_of(part, _table, sheet)


def _table(data: bytes, where: str, sheet: str) -> Table:
    root = parse_xml(data, where)
    columns = children(child(root, "tableColumns"), "tableColumn")
    return Table(
        name=root.get("displayName") or root.get("name", ""),
        sheet=sheet,
        range=root.get("ref", ""),
        columns=tuple(unescaped(column.get("name", "")) for column in columns),
        header_rows=whole(root.get("headerRowCount"), default=1),
        totals_rows=whole(root.get("totalsRowCount"), default=0),
    )


def read_comments(package: Package, part: str) -> Mapping[tuple[int, int], str]:
    """Return the notes of a sheet by cell."""
    return package.made_of(part, _comments)


def _comments(data: bytes, where: str) -> Mapping[tuple[int, int], str]:
    root = parse_xml(data, where)
    found: dict[tuple[int, int], str] = {}
    for comment in children(child(root, "commentList"), "comment"):
        key = parse_cell(comment.get("ref", ""))
        if key is None:
            shown = quoted(comment.get("ref", ""))
            raise damaged(where, f"a note on the cell {shown}", "an address such as B7")
        text = child(comment, "text")
        found[key] = "" if text is None else rich_text(text)
    return found


def read_external_links(package: Package, workbook: WorkbookPart) -> tuple[str, ...]:
    """Return where the workbook's external links lead, in the order of their numbers in formulas ([1] first)."""
    return tuple(_link_target(package, workbook, identity) for identity in workbook.external_ids)


def _link_target(package: Package, workbook: WorkbookPart, identity: str) -> str:
    relation = workbook.relations.get(identity)
    part = package.find(relation.target) if relation else None
    if part is None:
        return ""
    targets = [link.target for link in relations_of(package, part).values() if link.external]
    return targets[0] if targets else ""


def read_properties(package: Package) -> tuple[dict[str, str], dict[str, str]]:
    """Return the document properties (title, creator, Company ...) and the custom ones, as text."""
    plain: dict[str, str] = {}
    custom: dict[str, str] = {}
    for relation in relations_of(package, "").values():
        part = package.find(relation.target)
        if part is None or relation.external:
            continue
        if relation.kind in ("coreproperties", "extendedproperties"):
            plain.update(package.made_of(part, _plain))
        elif relation.kind == "customproperties":
            custom.update(package.made_of(part, _custom))
    return plain, custom


def _plain(data: bytes, where: str) -> Mapping[str, str]:
    return {local(item): text_of(item) for item in parse_xml(data, where) if len(item) == 0 and item.text}


def _custom(data: bytes, where: str) -> Mapping[str, str]:
    items = children(parse_xml(data, where), "property")
    return {item.get("name", ""): "".join(item.itertext()).strip() for item in items}
