"""Checks that look into the package: what stands in parts beside cells, put there by rewriting the zip."""

from __future__ import annotations

import zipfile
from pathlib import Path

from quotebook.audit.finding import Need
from quotebook.audit.registry import all_checks, check_named
from quotebook.audit.runner import audit_view
from quotebook.audit.view import BookView
from quotebook.flows.opening import open_workbook
from tests.audit import contract_cases
from tests.audit.foreign import Case, written
from tests.audit.foreign_cases import CASES, block
from tests.audit.homemade import saved

_RELATIONS = "xl/worksheets/_rels/sheet1.xml.rels"
_IMAGE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/image"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


def rewritten(folder: Path, part: str, change: dict[str, str], added: dict[str, str]) -> BookView:
    """Return a workbook of four operations with texts replaced in one part and parts added."""
    source, target = saved(written(Case(block())), folder / "plain.xlsx"), folder / "changed.xlsx"
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            data = old.read(name).decode("utf-8") if name == part else None
            for found, instead in change.items() if data is not None else ():
                assert data is not None
                assert found in data
                data = data.replace(found, instead)
            new.writestr(name, old.read(name) if data is None else data)
        for name, text in added.items():
            new.writestr(name, text)
    opened = open_workbook(target)
    return BookView(opened.snapshot, opened.book)


def cells_found(view: BookView, check: str) -> list[str]:
    one = check_named(check)
    assert one is not None
    return [finding.cells for finding in audit_view(view, [one]).findings]


def test_an_image_fetched_from_outside_is_told_of_and_a_plain_link_is_not(tmp_path: Path) -> None:
    for number, (kind, expected) in enumerate(((_IMAGE, [""]), (_IMAGE.replace("image", "hyperlink"), []))):
        folder = tmp_path / str(number)
        folder.mkdir()
        pointer = f'<Relationship Id="rId9" Type="{kind}" Target="http://a.example/x.png" TargetMode="External"/>'
        added = {_RELATIONS: f'<Relationships xmlns="{_PACKAGE}">{pointer}</Relationships>'}
        assert cells_found(rewritten(folder, "", {}, added), "outside-pointer") == expected


def test_warnings_switched_off_matter_only_on_the_way_to_the_price(tmp_path: Path) -> None:
    for number, (cells, expected) in enumerate((("D5:D8", ["D5:D8"]), ("A5:A8", []))):
        folder = tmp_path / str(number)
        folder.mkdir()
        mark = f'<ignoredErrors><ignoredError sqref="{cells}" formula="1"/></ignoredErrors></worksheet>'
        view = rewritten(folder, "xl/worksheets/sheet1.xml", {"</worksheet>": mark}, {})
        assert cells_found(view, "warnings-switched-off") == expected


def test_every_check_without_contract_has_its_cases() -> None:
    here = {"outside-pointer", "warnings-switched-off"}
    known = {*CASES, *contract_cases.CASES, *here}
    names = {one.check.name for one in all_checks() if Need.NO_CONTRACT in one.check.needs}
    assert len(names) >= 40
    assert names <= known, names - known
