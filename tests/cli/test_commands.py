"""The commands as a person types them: what is printed, what is refused, and the exit code."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner, Result

from quotebook.cli.main import app
from quotebook.errors import QuotebookError
from quotebook.flows.demo import examples_folder
from quotebook.flows.opening import open_workbook
from quotebook.model import job_to_toml, shop_to_toml
from tests.samples import metric_job, metric_shop

SHOP = str(examples_folder() / "shop.toml")


def run(*words: object) -> Result:
    return CliRunner().invoke(app, [str(word) for word in words])


def shell(*words: object, **environment: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "quotebook", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, env={**os.environ, **environment}, timeout=120)


OLE = bytes.fromhex("D0CF11E0A1B11AE1")


def bad_files(folder: Path, good: Path) -> dict[str, Path]:
    """Return a path for each kind of file that is no workbook, by a word that its message must say."""
    names = {
        "no such file": folder / "missing.xlsx",
        "folder": folder / "folder",
        "text": folder / "text.xlsx",
        "cut short": folder / "short.xlsx",
        ".xls": folder / "old.xls",
        "encrypted": folder / "secret.xlsx",
    }
    names["folder"].mkdir()
    names["text"].write_text("quantity;price\n5;10\n", encoding="utf-8")
    names["cut short"].write_bytes(good.read_bytes()[:20_000])
    names[".xls"].write_bytes(OLE + bytes(504) + "Workbook".encode("utf-16-le") + bytes(2000))
    names["encrypted"].write_bytes(OLE + bytes(504) + "EncryptedPackage".encode("utf-16-le") + bytes(2000))
    return names


def test_each_bad_file_gets_one_clear_line_and_code_2(tmp_path: Path, golden_file: Path) -> None:
    for word, path in bad_files(tmp_path, golden_file).items():
        result = shell("recompute", path)
        assert result.returncode == 2, word
        lines = result.stderr.strip().splitlines()
        assert len(lines) == 1, (word, result.stderr)
        assert path.name in lines[0]
        assert word.lower() in lines[0].lower() or (word == "encrypted" and "password" in lines[0].lower()), lines[0]
        assert "Traceback" not in result.stderr + result.stdout


def test_a_bad_file_among_good_ones_is_named_and_gives_code_1(tmp_path: Path, golden_file: Path) -> None:
    result = shell("recompute", tmp_path / "missing.xlsx", golden_file)
    assert result.returncode == 1
    assert "missing.xlsx" in result.stderr
    assert "AGREE" in result.stdout


def test_recompute_prints_the_documented_json(golden_file: Path) -> None:
    result = run("recompute", golden_file, "--json")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    assert document["schema"] == 1
    (file,) = document["files"]
    wanted = {
        "file", "error", "agree", "prices", "first_piece", "next_piece", "repeat_order", "disagreements", "unknown",
    }  # fmt: skip
    assert wanted <= set(file)
    assert set(file["prices"][0]) == {"quantity", "unit_price", "extended_price", "nonrecurring", "cost", "margin"}
    readme = Path(__file__).parents[2] / "README.md"
    if readme.exists():  # absent where the tests run on an installed copy
        text = readme.read_text(encoding="utf-8")
        assert all(f"`{key}`" in text for key in file), "the README's table of keys has drifted"


def test_an_existing_target_is_kept_unless_forced(tmp_path: Path) -> None:
    target = tmp_path / "job.xlsx"
    target.write_text("mine", encoding="utf-8")
    refused = shell("new", target, "--shop", SHOP)
    assert refused.returncode == 2
    assert "--force" in refused.stderr
    assert target.read_text(encoding="utf-8") == "mine"
    assert shell("new", target, "--shop", SHOP, "--force").returncode == 0
    assert open_workbook(target).contract is not None


def test_a_job_file_with_mistakes_tells_all_of_them_at_once(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        '[job]\nunits = "mm"\nquantites = [5]\n[[operation]]\nnumber = 10\nsetup_base_hours = -1\nscrap_share = 1\n',
        encoding="utf-8",
    )
    result = shell("new", tmp_path / "x.xlsx", "--shop", SHOP, "--job", job)
    assert result.returncode == 2
    for words in ('Did you mean "quantities"', "operation 1 (number 10), setup_base_hours", '"-1"', "below 1"):
        assert words in result.stderr
    assert not (tmp_path / "x.xlsx").exists()


def test_new_from_a_job_and_like_an_earlier_workbook_carry_every_input(tmp_path: Path) -> None:
    shop, job = tmp_path / "shop.toml", tmp_path / "job.toml"
    shop.write_text(shop_to_toml(metric_shop()), encoding="utf-8")
    job.write_text(job_to_toml(metric_job()), encoding="utf-8")
    first, second = tmp_path / "first.xlsx", tmp_path / "second.xlsx"
    assert run("new", first, "--shop", shop, "--job", job).exit_code == 0
    assert run("new", second, "--like", first, "--rows", "routing=30").exit_code == 0
    opened = open_workbook(second)
    assert (opened.job, opened.shop) == (metric_job(), metric_shop())
    assert opened.contract is not None
    assert opened.contract.capacities["routing"] == 30


def test_like_a_workbook_without_contract_is_refused(tmp_path: Path) -> None:
    foreign = tmp_path / "foreign.xlsx"
    openpyxl.Workbook().save(foreign)
    result = shell("new", tmp_path / "x.xlsx", "--like", foreign)
    assert result.returncode == 2
    assert "no contract" in result.stderr


@pytest.mark.parametrize("words", ["routing", "routing=many", "wings=3", "routing=0", "routing=5000"])
def test_a_row_capacity_that_cannot_be_is_refused(tmp_path: Path, words: str) -> None:
    result = run("new", tmp_path / "x.xlsx", "--rows", words)
    told = result.output + str(result.exception)
    assert result.exit_code == 2 or isinstance(result.exception, QuotebookError)
    assert words.split("=")[0] in told
    assert not (tmp_path / "x.xlsx").exists()


def test_no_colour_where_none_is_wanted(golden_file: Path) -> None:
    result = shell("recompute", golden_file, NO_COLOR="1", FORCE_COLOR="")
    assert "\x1b[" not in result.stdout


def test_the_demo_prices_and_says_what_to_open(tmp_path: Path) -> None:
    result = shell("demo", tmp_path / "demo")
    assert result.returncode == 0, result.stderr
    assert "AGREE" in result.stdout
    assert "Start sheet" in result.stdout
    assert {path.name for path in (tmp_path / "demo").glob("*.xlsx")} >= {"sensor-spigot.xlsx", "blank.xlsx"}
    assert shell("demo", tmp_path / "demo").returncode == 2  # the files are there now


@pytest.mark.parametrize("command", ["new", "recompute", "demo", "request", "gather", "quote", "closeout", "compare"])
def test_every_command_has_help_with_an_example(command: str) -> None:
    result = run(command, "--help")
    assert result.exit_code == 0
    assert f"Example: quotebook {command}" in " ".join(result.output.split())


def test_a_target_that_no_program_would_open_is_refused(tmp_path: Path) -> None:
    result = shell("new", tmp_path / "bracket")
    assert result.returncode == 2
    assert ".xlsx" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_new_says_whether_the_price_is_there_and_what_was_carried_over(tmp_path: Path) -> None:
    blank, filled = tmp_path / "blank.xlsx", tmp_path / "filled.xlsx"
    assert "missing for the price" in run("new", blank).stdout
    folder = Path(__file__).parents[2] / "examples"
    made = run("new", filled, "--shop", folder / "shop.toml", "--job", folder / "sensor-spigot" / "job.toml")
    assert "State: SB-204 rev C · complete" in made.stdout
    again = run("new", tmp_path / "again.xlsx", "--like", filled)
    assert "quote_number, quote_date" in again.stderr
