"""How the parts of a package point to each other."""

from __future__ import annotations

import posixpath
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import unquote

from quotebook.workbook.package import Package
from quotebook.workbook.xml_parts import children, parse_xml


@dataclass(frozen=True, slots=True)
class Relation:
    """A pointer. ``kind`` is the last word of its type in small letters without hyphens ("worksheet").

    ``target`` is the name of a part, or for an external pointer the address as it was written.
    """

    kind: str
    target: str
    external: bool = False


def relations_of(package: Package, part: str) -> dict[str, Relation]:
    """Return the pointers of a part by their ids; "" stands for the package itself."""
    folder, base = posixpath.split(part)
    name = package.find(posixpath.join(folder, "_rels", f"{base}.rels"))
    if name is None:
        return {}
    return {
        identity: Relation(kind, target if external else resolve(package, folder, target), external)
        for identity, (kind, target, external) in package.made_of(name, _pointers).items()
    }


def _pointers(data: bytes, where: str) -> Mapping[str, tuple[str, str, bool]]:
    """Return kind, target and whether it is external, as they are written, by id."""
    found: dict[str, tuple[str, str, bool]] = {}
    for element in children(parse_xml(data, where), "Relationship"):
        kind = element.get("Type", "").rstrip("/").rpartition("/")[2].replace("-", "").lower()
        external = element.get("TargetMode", "").lower() == "external"
        found[element.get("Id", "")] = (kind, element.get("Target", ""), external)
    return found


def resolve(package: Package, folder: str, target: str) -> str:
    """Return the part that a target means, seen from a folder; as it is stored if there is such a part."""
    name = posixpath.normpath(posixpath.join("/", folder, target.replace("\\", "/"))).lstrip("/")
    return package.find(name) or package.find(unquote(name)) or name


def main_part(package: Package) -> str | None:
    """Return the name of the workbook part, or None if there is none."""
    for relation in relations_of(package, "").values():
        if relation.kind == "officedocument" and not relation.external:
            return package.find(relation.target)
    return package.find("xl/workbook.xml")
