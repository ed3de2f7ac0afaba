"""Parts beside the sheets: tables, notes, external links, document properties."""

from __future__ import annotations

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
    root = parse_xml(package.read(part), package.where(part))
    columns = children(child(root, "tableColumns"), "tableColumn")
    return Table(
        name=root.get("displayName") or root.get("name", ""),
        sheet=sheet,
        range=root.get("ref", ""),
        columns=tuple(unescaped(column.get("name", "")) for column in columns),
        header_rows=whole(root.get("headerRowCount"), default=1),
        totals_rows=whole(root.get("totalsRowCount"), default=0),
    )


def read_comments(package: Package, part: str) -> dict[tuple[int, int], str]:
    """Return the notes of a sheet by cell."""
    root = parse_xml(package.read(part), package.where(part))
    found: dict[tuple[int, int], str] = {}
    for comment in children(child(root, "commentList"), "comment"):
        key = parse_cell(comment.get("ref", ""))
        if key is None:
            shown = quoted(comment.get("ref", ""))
            raise damaged(package.where(part), f"a note on the cell {shown}", "an address such as B7")
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
            root = parse_xml(package.read(part), package.where(part))
            plain.update({local(item): text_of(item) for item in root if len(item) == 0 and item.text})
        elif relation.kind == "customproperties":
            root = parse_xml(package.read(part), package.where(part))
            for item in children(root, "property"):
                custom[item.get("name", "")] = "".join(item.itertext()).strip()
    return plain, custom
