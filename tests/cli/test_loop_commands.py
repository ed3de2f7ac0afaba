"""The loop's commands as a person types them: exit codes, JSON, messages."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from quotebook.cli.main import app
from quotebook.flows.demo import examples_folder
from tests import loop

SUPPLIERS = examples_folder() / "suppliers.toml"


def run(*words: object) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("commands")
    loop.write(folder / "cap.xlsx", loop.job_data())
    loop.write(folder / "valve.xlsx", loop.job_data("valve-body"))
    return folder


def test_request_gather_into_and_json(folder: Path, tmp_path: Path) -> None:
    job = folder / "cap.xlsx"
    asked = run("request", job, "--suppliers", SUPPLIERS, "--out", tmp_path / "r", "--today", "2031-03-10", "--json")
    assert asked.exit_code == 0, asked.output
    made = json.loads(asked.stdout)["requests"]
    assert [len(one["lines"]) for one in made] == [1, 1, 3]
    (tmp_path / "back").mkdir()
    rows = [{"line": "Stock", "price": 100}, {"line": "Anodize clear", "price": 4}]
    loop.answered(Path(made[2]["file"]), tmp_path / "back" / "a.xlsx", rows)
    words = ("gather", tmp_path / "back", "--into", job, "-o", tmp_path / "new.xlsx", "--today", "2031-03-10")
    into = run(*words, "--json")
    assert into.exit_code == 0, into.output
    document = json.loads(into.stdout)
    assert {one["state"] for one in document["offers"]} == {"chosen"}
    assert (tmp_path / "new.xlsx").exists()
    again = run(*words)
    assert again.exit_code != 0  # the target is there now
    assert run("request", job, "--out", tmp_path / "none").exit_code != 0  # nobody to ask


def test_gather_writes_summary_csv_and_book(folder: Path, tmp_path: Path) -> None:
    words = ("gather", folder, "-o", tmp_path / "s.xlsx", "--csv", tmp_path / "csv", "--book", tmp_path / "b.sqlite")
    result = run(*words, "--workers", 1)
    assert result.exit_code == 1, result.output  # the job without prices cannot be judged fully
    assert {path.name for path in (tmp_path / "csv").iterdir()} == {"jobs.csv", "prices.csv", "bids.csv", "files.csv"}
    document = json.loads(run("gather", folder, "--json", "--workers", 1, "--book", tmp_path / "b.sqlite").stdout)
    assert (document["schema"], document["read"], len(document["files"])) == (1, 0, 2)
    (tmp_path / "empty").mkdir()
    assert run("gather", tmp_path / "empty").exit_code == 2


def test_quote_refuses_with_code_1_and_writes_with_code_0(folder: Path, tmp_path: Path) -> None:
    refused = run("quote", folder / "cap.xlsx", "-o", tmp_path / "a.xlsx", "--no-pdf", "--today", "2031-03-10")
    assert refused.exit_code == 1
    assert "has no price" in refused.output
    assert not (tmp_path / "a.xlsx").exists()
    words = ("quote", folder / "valve.xlsx", "-o", tmp_path / "b.xlsx", "--no-pdf", "--today", "2031-03-10", "--json")
    written = run(*words)
    assert written.exit_code == 0, written.output
    assert json.loads(written.stdout)["files"] == [str(tmp_path / "b.xlsx")]


def test_closeout_answers_for_one_job(folder: Path, tmp_path: Path) -> None:
    result = run("closeout", folder / "valve.xlsx", "-o", tmp_path / "c.xlsx")
    assert result.exit_code == 0, result.output
    assert "made money" in result.output
    document = json.loads(run("closeout", folder / "valve.xlsx", "--json").stdout)
    assert [one["kind"] for one in document["jobs"][0]["closeout"]["kinds"]] == [
        "quantity", "price", "scrap", "time", "rate", "purchase",
    ]  # fmt: skip
    assert run("closeout", folder / "cap.xlsx").exit_code == 2
    shop = examples_folder() / "shop.toml"
    words = ("closeout", folder / "valve.xlsx", "--profile", shop, "--write-profile", tmp_path / "shop.toml")
    assert run(*words).exit_code == 0
    assert "nothing was changed" in (tmp_path / "shop.toml").read_text(encoding="utf-8")
    assert shop.read_bytes() == (examples_folder() / "shop.toml").read_bytes()


def test_compare_tells_by_its_code_whether_anything_differs(folder: Path) -> None:
    assert run("compare", folder / "valve.xlsx", folder / "valve.xlsx").exit_code == 0
    result = run("compare", folder / "valve.xlsx", folder / "cap.xlsx", "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["changes"]
