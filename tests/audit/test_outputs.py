"""What an audit hands out: JSON, SARIF, a page, a marked copy, an accept file, and the command's exit codes."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from quotebook.cli.main import app
from quotebook.workbook.reader import read_snapshot
from tests.audit.contract_base import Spoiled, spoil, typed, write_base

RUN = CliRunner()


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("outputs"))


@pytest.fixture(scope="module")
def spoiled(base: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("spoiled")
    # The customer's name would break a page, a sheet or a command that forgets to escape.
    changes = {("setup_hours", 0): typed(9.0), ("customer_name", 0): typed("=1+1<b>&\"'")}
    return spoil(base, folder / "spoiled.xlsx", Spoiled(changes))


def audit(*arguments: object) -> tuple[int, str]:
    result = RUN.invoke(app, ["audit", *map(str, arguments)])
    return result.exit_code, result.stdout


def test_the_json_document_holds_what_is_promised(spoiled: Path, tmp_path: Path) -> None:
    code, text = audit(spoiled, tmp_path / "nothing.xlsx", "--json")
    document = json.loads(text)
    assert code == 1
    assert document["schema"] == 1
    assert [bool(file["error"]) for file in document["files"]] == [False, True]
    finding = document["files"][0]["findings"][0]
    wanted = {
        "check", "severity", "sheet", "cells", "field", "found", "expected", "effect_on_price", "evidence", "mend",
    }  # fmt: skip
    assert wanted <= set(finding)
    assert (finding["check"], finding["sheet"], finding["field"]) == ("typed-over-formula", "Routing", "setup_hours")
    assert isinstance(finding["effect_on_price"], float)


def test_exit_codes_tell_clean_found_and_unreadable_apart(base: Path, spoiled: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.xlsx"
    broken.write_bytes(b"no workbook")
    assert audit(base)[0] == 0
    assert audit(spoiled)[0] == 1
    assert audit(broken)[0] == 2
    assert audit(base, broken)[0] == 1


def test_an_accepted_finding_is_quiet_until_its_cell_changes(base: Path, spoiled: Path, tmp_path: Path) -> None:
    accept = tmp_path / "accept.toml"
    text = audit(spoiled, "--acceptances")[1]
    accept.write_text(text, encoding="utf-8")
    assert RUN.invoke(app, ["audit", str(spoiled), "--accept", str(accept)]).exception is not None, "who and why"
    accept.write_text(text.replace('who = ""', 'who = "A. Tester"').replace('why = ""', 'why = "shown"'), "utf-8")
    assert audit(spoiled, "--accept", accept)[0] == 0
    again = spoil(base, tmp_path / spoiled.name, Spoiled({("setup_hours", 0): typed(8.0)}))
    assert audit(again, "--accept", accept)[0] == 1


def test_the_sarif_log_names_every_rule_and_place(spoiled: Path, tmp_path: Path) -> None:
    target = tmp_path / "log.sarif"
    audit(spoiled, "--sarif", target)
    log = json.loads(target.read_text(encoding="utf-8"))
    run = log["runs"][0]
    rules = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    assert log["version"] == "2.1.0"
    for result in run["results"]:
        assert rules[result["ruleIndex"]] == result["ruleId"]
        assert result["level"] in ("error", "warning", "note")
        assert result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"]
    assert "Routing!" in run["results"][0]["locations"][0]["logicalLocations"][0]["fullyQualifiedName"]


def test_the_page_holds_pictures_and_no_foreign_markup(spoiled: Path, tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    audit(spoiled, "--report", target)
    text = target.read_text(encoding="utf-8")
    assert text.count("<svg") >= 2, "prices, and the sheet with the finding"
    assert "<script" not in text
    assert "http" not in text.replace("http-equiv", "")
    assert "=1+1<b>" not in text


def test_the_marked_copy_keeps_every_other_part_byte_for_byte(spoiled: Path, tmp_path: Path) -> None:
    target = tmp_path / "marked.xlsx"
    audit(spoiled, "--mark", target)
    with zipfile.ZipFile(spoiled) as before, zipfile.ZipFile(target) as after:
        old, new = set(before.namelist()), set(after.namelist())
        changed = {name for name in old if before.read(name) != after.read(name)}
    assert len(new - old) == 4, "the list, the notes, their boxes, and what points to both"
    routing = read_snapshot(spoiled).sheet("Routing")
    assert routing is not None
    assert changed == {
        "[Content_Types].xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", routing.part,
    }  # fmt: skip
    book = openpyxl.load_workbook(target)
    listed = book["Audit findings"]
    assert listed["C2"].value == "typed-over-formula"
    assert listed["D2"].hyperlink is not None
    first = listed["D2"].hyperlink.location.split("!")[1]
    assert book["Routing"][first].fill.patternType == "lightUp"
    note = book["Routing"][first].comment
    assert note is not None
    assert listed["J2"].value in note.text
    assert all(cell.data_type != "f" for row in listed.iter_rows() for cell in row)


def test_a_check_is_explained_and_all_are_listed() -> None:
    code, text = audit("--explain", "typed-over-formula")
    assert code == 0
    assert "Why it costs money" in text
    assert audit("--explain", "no-such-check")[0] == 2
    assert len(audit("--list")[1].splitlines()) >= 80
    assert audit()[0] == 2
