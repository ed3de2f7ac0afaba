"""whatif, risk and solve from the command line: tables, JSON, pictures, exit codes, refusals."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
from typer.testing import CliRunner

from quotebook.cli.main import app
from quotebook.errors import InputError, QuotebookError, TargetExists
from quotebook.flows.whatif import what_if
from tests.made import with_inputs

RUNNER = CliRunner()


def run(*words: str) -> tuple[int, str]:
    result = RUNNER.invoke(app, list(words))
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout


def test_whatif_prints_a_table_and_the_same_as_json(golden_file: Path) -> None:
    code, text = run("whatif", str(golden_file), "--set", "quantity=10:50:3", "--show", "unit_price[1]")
    assert code == 0
    _, printed = run("whatif", str(golden_file), "--set", "quantity=10:50:3", "--show", "unit_price[1]", "--json")
    data = json.loads(printed)
    assert data["schema"] == 1
    assert data["cases"] == [[10.0], [30.0], [50.0]]
    for value in data["show"][0]["values"]:
        assert f"{value:,.2f}" in text


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_whatif_draws_its_curves(golden_file: Path, tmp_path: Path, ending: str) -> None:
    target = tmp_path / f"curve.{ending}"
    words = ("whatif", str(golden_file), "--set", "quantity=10:50:9", "--plot", str(target))
    assert run(*words)[0] == 0
    content = target.read_bytes()
    if ending == "svg":
        tree = ElementTree.fromstring(content)
        lines = [each for each in tree.iter() if each.tag.endswith("polyline")]
        assert any(len(line.attrib["points"].split()) == 9 for line in lines)
    else:
        assert content.startswith(b"\x89PNG")
        assert len(content) > 5000
    with pytest.raises(QuotebookError, match=r"exists|--force"):
        run(*words)


def test_a_picture_in_an_unknown_format_is_refused_before_work(golden_file: Path, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"\.svg or \.png"):
        run("whatif", str(golden_file), "--set", "quantity=10:50:9", "--plot", str(tmp_path / "curve.gif"))


def test_risk_tells_seed_cases_errors_and_what_matters(golden_file: Path, tmp_path: Path) -> None:
    likely = what_if(golden_file, ["spare_pieces=1"], ["cycle_used[1]"]).shown[0].values[0]
    assert isinstance(likely, float)
    ends = {("low_cycle_minutes", 0): likely * 0.7, ("high_cycle_minutes", 0): likely * 1.5}
    file = with_inputs(golden_file, tmp_path / "uncertain.xlsx", ends)
    words = ("risk", str(file), "--cases", "1000", "--seed", "9")
    code, text = run(*words)
    assert code == 0, text
    for word in ("1,000 cases", "seed 9", "P50", "P80", "±", "chance of loss", "what matters most", "AGREE"):
        assert word in text
    picture, copy = tmp_path / "cost.svg", tmp_path / "copy.xlsx"
    code, printed = run(*words, "--json", "--plot", str(picture), "--save-as", str(copy))
    data = json.loads(printed[printed.index("{") :])
    assert data["seed"] == 9
    assert sum(data["lots"][0]["histogram"]) == 1000
    assert picture.exists()
    assert (tmp_path / "cost-tornado.svg").exists()
    assert copy.exists()
    again = json.loads(run(*words, "--json")[1])
    assert again["lots"] == data["lots"]


def test_solve_tells_one_none_and_several_by_its_exit_code(golden_file: Path) -> None:
    code, text = run("solve", str(golden_file), "--for", "quantity", "--until", "lot_size[1]=17", "--between", "1:60")
    assert (code, "ONE SOLUTION" in text) == (0, True)
    code, text = run("solve", str(golden_file), "--for", "quantity", "--until", "lot_size[1]=99", "--between", "1:60")
    assert (code, "NONE" in text, "goes from 1 to 60" in text) == (1, True, True)
    code, printed = run("solve", str(golden_file), "--for", "quantity", "--until", "lot_size[1]=17", "--json")
    assert json.loads(printed)["solutions"][0]["low"] == 17


def test_no_formula_text_is_taken_from_the_command_line(golden_file: Path) -> None:
    for words in (["--set", "quantity=1+1:5:2"], ["--set", "=SUM(1,2)=3"], ["--set", "quantity=1", "--show", "=1+1"]):
        with pytest.raises(InputError):
            run("whatif", str(golden_file), *words)


def test_solve_refuses_a_target_that_exists_before_it_searches(golden_file: Path, tmp_path: Path) -> None:
    target = tmp_path / "there.xlsx"
    target.write_bytes(b"kept")
    words = (
        "solve",
        str(golden_file),
        "--for",
        "packing_per_lot",
        "--until",
        "lot_cost[2]=3000",
        "--between",
        "0:5000",
    )
    refused = RUNNER.invoke(app, [*words, "--save-as", str(target)])
    assert isinstance(refused.exception, TargetExists)
    assert refused.stdout == "", "it did not search first"
    assert target.read_bytes() == b"kept"
    code, text = run(*words, "--save-as", str(tmp_path / "new.xlsx"))
    assert code == 0
    assert "Wrote" in text
