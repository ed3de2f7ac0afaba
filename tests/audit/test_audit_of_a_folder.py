"""Several workbooks audited in one call: each says whose it is, and all are looked through for the others.

Source of the fault and of its false alarms: the catalogue of checks, row P10 (paste; group companies). Names are
invented.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from pathlib import Path

import pytest
from typer.testing import CliRunner

from quotebook.audit.finding import Finding, Severity
from quotebook.cli.main import app
from quotebook.cli.watch_run import judge_by_audit
from quotebook.flows.audit import audit_all
from quotebook.flows.companions import all_whose, others_of, whose
from quotebook.flows.settling import Save
from tests.audit.contract_base import Spoiled, base_view, spoil, typed, write_base
from tests.audit.other_customers import home

RUN = CliRunner()
NAME = "another-customer-named"


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("base"))


@pytest.fixture(scope="module")
def folder(base: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two workbooks with a contract and a home-made one, each telling of another."""
    folder = tmp_path_factory.mktemp("call")
    fields = {("customer_name", 0): typed("Brackwater Conveyors"), ("job_note", 0): typed("cheaper than Ostrava Lifts")}
    spoil(base, folder / "conveyors.xlsx", Spoiled({**fields, ("quote_number", 0): typed("QX-1043")}))
    spoil(base, folder / "lifts.xlsx", Spoiled({("customer_name", 0): typed("Ostrava Lifts")}))
    home(folder, {"A1": "Customer", "B1": "Pryce Dredging", "B4": 17.5, "A7": "see QX-1043"})
    (folder / "broken.xlsx").write_bytes(b"no workbook")
    return folder


def said(paths: Sequence[Path]) -> dict[str, list[Finding]]:
    return {Path(audit.file).name: [one for one in audit.findings if one.check == NAME] for audit in audit_all(paths)}


def test_the_same_files_give_the_same_findings_in_any_order(folder: Path) -> None:
    paths = sorted(folder.glob("*.xlsx"))
    found = said(paths)
    places = {name: [(one.sheet, one.severity) for one in findings] for name, findings in found.items()}
    assert places == {
        "broken.xlsx": [], "conveyors.xlsx": [("Job", Severity.PROBABLY_WRONG)], "lifts.xlsx": [],
        "home.xlsx": [("Sheet", Severity.LOOK_AT_IT)],
    }  # fmt: skip
    assert said([*paths[::-1], paths[2]]) == found, "one named twice is one"
    assert said([folder / "home.xlsx"]) == {"home.xlsx": []}


def test_whose_a_file_is_is_read_without_the_rest(folder: Path, base: Path) -> None:
    known = all_whose(folder.glob("*.xlsx"))
    assert {one.customer for one in known.values()} == {"Brackwater Conveyors", "Ostrava Lifts"}
    lifts = whose(folder / "lifts.xlsx")
    assert lifts is not None
    view = base_view(folder / "lifts.xlsx")
    prices = [view.field_number("unit_price", 1 + lot) for lot in range(len(view.lots))]
    assert list(lifts.prices) == pytest.approx(prices)
    assert [one.file for one in others_of(folder / "lifts.xlsx", known)] == ["conveyors.xlsx"]
    assert whose(folder / "broken.xlsx") is None
    assert whose(folder / "gone.xlsx") is None


def test_the_command_takes_a_folder(folder: Path, tmp_path: Path) -> None:
    result = RUN.invoke(app, ["audit", str(folder), "--json"])
    files = json.loads(result.stdout)["files"]
    assert [Path(one["file"]).name for one in files] == ["broken.xlsx", "conveyors.xlsx", "home.xlsx", "lifts.xlsx"]
    told_of = [Path(one["file"]).name for one in files for finding in one["findings"] if finding["check"] == NAME]
    assert told_of == ["conveyors.xlsx", "home.xlsx"]
    assert RUN.invoke(app, ["audit", str(tmp_path)]).exception is not None, "a folder without a workbook"


def test_a_watched_folder_supplies_the_list(folder: Path) -> None:
    path = folder / "home.xlsx"
    save = Save(path, "", path.read_bytes())
    assert NAME in judge_by_audit(False, folder=folder)(save).page
    assert NAME not in judge_by_audit(False)(save).page


def test_a_file_with_a_bomb_in_it_gives_no_list(tmp_path: Path) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("xl/workbook.xml", b"<!DOCTYPE a [<!ENTITY b 'c'>]><workbook>&b;</workbook>")
        package.writestr("xl/worksheets/sheet1.xml", b"0" * 50_000_000)
    (tmp_path / "bomb.xlsx").write_bytes(buffer.getvalue())
    assert whose(tmp_path / "bomb.xlsx") is None
