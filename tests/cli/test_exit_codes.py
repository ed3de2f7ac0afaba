"""Exit codes and the one line that goes with them: 0 fine, 1 something found or not judged, 2 nothing could be done.

The commands run through ``main`` in this process, as the console script does; test_commands.py starts real processes.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import openpyxl
import pytest

from quotebook.cli.main import main
from quotebook.flows.opening import open_workbook
from quotebook.model import job_to_toml, shop_to_toml
from tests.made import with_inputs
from tests.samples import metric_job, metric_shop, whole_step_shop


@dataclass(frozen=True)
class Done:
    code: int
    out: str
    err: str


Run = Callable[..., Done]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def one(*words: object) -> Done:
        monkeypatch.setattr(sys, "argv", ["quotebook", *map(str, words)])
        try:
            main()
            code: object = 0
        except SystemExit as stop:
            code = stop.code
        assert isinstance(code, int | None)
        told = capsys.readouterr()
        return Done(code or 0, told.out, told.err)

    return one


def foreign(path: Path, formula: str) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet["A1"], sheet["B1"] = 2, formula
    book.save(path)
    return path


def test_a_workbook_that_agrees_ends_with_0(run: Run, metric_file: Path) -> None:
    done = run("recompute", metric_file)
    assert done.code == 0
    assert "AGREE" in done.out
    assert "DISAGREE" not in done.out
    assert done.err == ""


def test_a_stale_workbook_ends_with_1_and_names_cell_and_field(run: Run, metric_file: Path, tmp_path: Path) -> None:
    stale = with_inputs(metric_file, tmp_path / "stale.xlsx", {("setup_base_hours", 0): 9.0})
    done = run("recompute", stale)
    assert done.code == 1
    assert "DISAGREE" in done.out
    assert "Routing!" in done.out
    assert "setup_hours" in done.out
    document = json.loads(run("recompute", stale, "--json").out)
    assert document["files"][0]["agree"] is False
    assert {"cell", "field", "stored", "recomputed", "reference", "reason", "between"} == set(
        document["files"][0]["disagreements"][0]
    )


def test_a_blank_workbook_ends_with_1_because_nothing_is_known(run: Run, blank_file: Path) -> None:
    done = run("recompute", blank_file, "--json")
    assert done.code == 1
    assert json.loads(done.out)["files"][0]["agree"] is None
    assert json.loads(done.out)["files"][0]["unknown"]


def test_a_foreign_workbook_says_that_it_carries_no_contract(run: Run, tmp_path: Path) -> None:
    done = run("recompute", foreign(tmp_path / "foreign.xlsx", "=A1*3"))
    assert done.code == 1, "its formula has no stored result, which is not agreement"
    assert "no contract" in done.out
    assert done.err == ""
    copy = tmp_path / "fresh.xlsx"
    run("recompute", tmp_path / "foreign.xlsx", "--save-as", copy)
    again = run("recompute", copy)
    assert again.code == 0
    assert "no contract" in again.out


def test_when_no_file_can_be_read_the_code_is_2_and_each_has_its_line(run: Run, tmp_path: Path) -> None:
    bad = [tmp_path / "a.xlsx", tmp_path / "b.xlsx"]
    bad[1].write_text("text")
    done = run("recompute", *bad)
    assert done.code == 2
    lines = done.err.strip().splitlines()
    assert len(lines) == 2
    assert "a.xlsx" in lines[0]
    assert "b.xlsx" in lines[1]
    document = json.loads(run("recompute", *bad, "--json").out)
    assert [file["error"] is not None for file in document["files"]] == [True, True]
    assert [file["agree"] for file in document["files"]] == [None, None]


@pytest.mark.parametrize(
    "words",
    [
        ["recompute"],
        ["recompute", "x.xlsx", "--witness", "nobody"],
        ["recompute", "a.xlsx", "b.xlsx", "--save-as", "c.xlsx"],
        ["recompute", "a.xlsx", "--no-such-option"],
        ["new"],
        ["no-such-command"],
    ],
)
def test_wrong_use_ends_with_2_and_one_message(run: Run, words: list[str]) -> None:
    done = run(*words)
    assert done.code == 2
    assert done.err
    assert "Traceback" not in done.err


def test_save_as_over_an_existing_file_is_refused_with_2(run: Run, metric_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "there.xlsx"
    target.write_bytes(b"precious")
    done = run("recompute", metric_file, "--save-as", target)
    assert done.code == 2
    assert "--force" in done.err
    assert len(done.err.strip().splitlines()) == 1
    assert target.read_bytes() == b"precious"
    assert run("recompute", metric_file, "--save-as", target, "--force").code == 0


def test_a_target_in_a_folder_that_is_not_there_is_one_line(run: Run, tmp_path: Path) -> None:
    done = run("new", tmp_path / "no" / "such" / "folder" / "x.xlsx", "--rows", "routing=2")
    assert done.code in (0, 2)
    assert len(done.err.strip().splitlines()) <= 1
    assert (done.code == 0) == (tmp_path / "no" / "such" / "folder" / "x.xlsx").exists()


#: What the models refuse, each as one change of a job file, and words that the message must hold.
REFUSED = [
    ("setup_base_hours = 1.5", "setup_base_hours = -1.5", ["setup_base_hours", "-1.5"]),
    ("scrap_share = 0.04", "scrap_share = 1.0", ["scrap_share", "1.0"]),
    ("    20,\n", "    0,\n", ["quantities", "0"]),
    ('work_center = "Turning"', 'work_center = "Turnign"', ["Turnign", "Turning"]),
    ('price_basis = "per kg"', 'price_basis = "per lb"', ["price_basis", "per lb"]),
    ('hand_rate = "Bench"', 'hand_rat = "Bench"', ["hand_rat", "hand_rate"]),
    ('plan = "sampling table"', 'plan = "sometimes"', ["plan", "sometimes", "every piece"]),
    ("units = ", "[[", ["TOML", "line"]),
]


@pytest.mark.parametrize(("old", "new", "words"), REFUSED, ids=[new.strip() for _, new, _ in REFUSED])
def test_what_cannot_be_is_refused_by_field_and_makes_no_workbook(
    run: Run, tmp_path: Path, old: str, new: str, words: list[str]
) -> None:
    shop, job = tmp_path / "shop.toml", tmp_path / "job.toml"
    shop.write_text(shop_to_toml(metric_shop()), encoding="utf-8")
    text = job_to_toml(metric_job())
    assert old in text
    job.write_text(text.replace(old, new, 1), encoding="utf-8")
    done = run("new", tmp_path / "x.xlsx", "--shop", shop, "--job", job)
    assert done.code == 2
    assert "job.toml" in done.err
    assert "Traceback" not in done.err
    for word in words:
        assert word in done.err
    assert not (tmp_path / "x.xlsx").exists()


def test_a_shop_given_by_name_wins_over_the_one_of_the_earlier_workbook(
    run: Run, metric_file: Path, tmp_path: Path
) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(shop_to_toml(whole_step_shop()), encoding="utf-8")
    done = run("new", tmp_path / "x.xlsx", "--like", metric_file, "--shop", shop)
    assert done.code == 0
    opened = open_workbook(tmp_path / "x.xlsx")
    assert opened.shop == whole_step_shop()
    assert opened.inputs is not None
    assert opened.inputs.job == open_workbook(metric_file).inputs.job  # type: ignore[union-attr]
    assert any("Turning" in problem for problem in opened.problems), "its work center is none of the new shop's"


def test_a_job_too_long_for_the_workbook_says_which_capacity_to_raise(run: Run, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(job_to_toml(metric_job()), encoding="utf-8")
    done = run("new", tmp_path / "x.xlsx", "--job", job, "--rows", "routing=2")
    assert done.code == 2
    assert "routing=3" in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_the_version_is_told(run: Run) -> None:
    done = run("--version")
    assert done.code == 0
    assert done.out.startswith("quotebook ")
