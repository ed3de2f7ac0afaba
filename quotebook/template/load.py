"""Reading a template from its folder: ``template.toml`` and one TOML file for each sheet."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from quotebook.errors import TemplateError
from quotebook.template.spec import (
    ChecklistBlock,
    FieldSpec,
    FormBlock,
    SeriesBlock,
    SheetSpec,
    TableBlock,
    TemplateSpec,
)

DEFAULT_TEMPLATE = "machined-part"


def templates_folder() -> Path:
    """Return the folder of the templates: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "templates"
    return inside if inside.is_dir() else package.parent / "templates"


def load_template(name: str = DEFAULT_TEMPLATE, capacities: Mapping[str, int] | None = None) -> TemplateSpec:
    """Return the template of that name (or in that folder), checked, with the row capacities asked for.

    Errors: TemplateError names the file and what contradicts what.
    """
    folder = Path(name) if Path(name).is_dir() else templates_folder() / name
    head = _read(folder / "template.toml")
    order = head.pop("sheets", None)
    if not isinstance(order, list):
        raise TemplateError(f"{folder / 'template.toml'}: 'sheets' must list the sheet files in order")
    sheets = [_sheet(folder / f"{stem}.toml") for stem in order]
    head["capacities"] = _capacities(head, capacities or {})
    try:
        template = TemplateSpec.model_validate({**head, "sheets": sheets})
    except ValidationError as error:
        raise TemplateError(f"{folder / 'template.toml'}: {_first_problem(error)}") from error
    _check_whole(template)
    return template


def revision_of(name: str) -> int:
    """Return the revision of an installed template, without reading its sheets. Errors: TemplateError."""
    path = templates_folder() / name / "template.toml"
    revision = _read(path).get("revision")
    if not isinstance(revision, int):
        raise TemplateError(f"{path}: found {revision!r} as revision, expected a whole number")
    return revision


def fields_of(sheet: SheetSpec) -> Iterator[FieldSpec]:
    """Yield the fields of a sheet in order; lines of a checklist are not fields."""
    for block in sheet.blocks:
        if isinstance(block, FormBlock):
            yield from block.fields
        elif isinstance(block, TableBlock):
            yield from block.columns
        elif isinstance(block, SeriesBlock):
            yield from block.rows


def _read(path: Path) -> dict[str, Any]:
    try:
        with path.open("rb") as file:
            return tomllib.load(file)
    except FileNotFoundError as error:
        raise TemplateError(f"{path}: this file of the template is missing") from error
    except tomllib.TOMLDecodeError as error:
        raise TemplateError(f"{path}: not valid TOML: {error}") from error


def _sheet(path: Path) -> SheetSpec:
    try:
        return SheetSpec.model_validate(_read(path))
    except ValidationError as error:
        raise TemplateError(f"{path}: {_first_problem(error)}") from error


def _capacities(head: Mapping[str, Any], wanted: Mapping[str, int]) -> dict[str, int]:
    known = dict(head.get("capacities", {}))
    limits = head.get("limits", {})
    for name, rows in wanted.items():
        if name not in known:
            raise TemplateError(f"capacity {name!r} is not known; this template has {', '.join(sorted(known))}")
        if not 1 <= rows <= limits.get(name, 1000):
            raise TemplateError(f"capacity {name} is {rows}; allowed are 1 to {limits.get(name, 1000)} rows")
        known[name] = rows
    return known


def _first_problem(error: ValidationError) -> str:
    first = error.errors()[0]
    place = ".".join(str(part) for part in first["loc"])
    return f"{place}: {first['msg']} (found {str(first.get('input'))[:80]!r})"


def _check_whole(template: TemplateSpec) -> None:
    """Refuse names used twice, unknown capacities, and checks that point nowhere."""
    names = Counter(field.name for sheet in template.sheets for field in fields_of(sheet))
    names.update(check.name for _, block in _checklists(template) for check in block.checks)
    twice = [name for name, count in names.items() if count > 1]
    if twice:
        raise TemplateError(f"{template.name}: field names used twice: {', '.join(sorted(twice))}")
    titles = {sheet.title for sheet in template.sheets}
    for sheet in template.sheets:
        for block in sheet.blocks:
            if isinstance(block, TableBlock):
                for wanted in filter(None, (block.capacity, block.align)):
                    if wanted not in template.capacities:
                        raise TemplateError(f"{sheet.title}: table {block.title!r} has no capacity {wanted!r}")
    for sheet, checklist in _checklists(template):
        for check in checklist.checks:
            if check.sheet not in titles or (check.field not in names):
                raise TemplateError(f"{sheet.title}: check {check.name} points to {check.sheet}, {check.field}")


def _checklists(template: TemplateSpec) -> Iterator[tuple[SheetSpec, ChecklistBlock]]:
    for sheet in template.sheets:
        for block in sheet.blocks:
            if isinstance(block, ChecklistBlock):
                yield sheet, block
