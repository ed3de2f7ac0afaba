"""A template that contradicts itself is refused when it is loaded, with the file and what is wrong."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from quotebook.errors import TemplateError
from quotebook.flows.new import make_workbook
from quotebook.template.layout import inputs_of, lay_out
from quotebook.template.load import DEFAULT_TEMPLATE, fields_of, load_template, templates_folder
from tests.made import FEW_ROWS


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the template that a test may spoil."""
    return Path(shutil.copytree(templates_folder() / DEFAULT_TEMPLATE, tmp_path / "own"))


def replaced(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    def change(text: str) -> str:
        assert old in text, f"the template no longer says {old!r}"
        return text.replace(old, new, count)

    return change


SPOILED = [
    (
        "routing.toml",
        replaced("setup_base_hours,touch_offs", "setup_basis_hours,touch_offs"),
        ["setup_basis_hours", "Routing"],
    ),
    ("routing.toml", replaced('name = "touch_offs"', 'name = "setup_base_hours"'), ["setup_base_hours", "twice"]),
    ("routing.toml", replaced('capacity = "routing"', 'capacity = "routings"'), ["routings", "Routing"]),
    ("routing.toml", replaced('name = "touch_offs"', 'name = "touch_offs"\nlable = "x"'), ["routing.toml", "lable"]),
    ("routing.toml", replaced('bind = "description"\n', ""), ["routing.toml", "bind"]),
    ("routing.toml", replaced('type = "count"', 'type = "counts"'), ["routing.toml", "type", "counts"]),
    ("routing.toml", replaced('name = "touch_offs"', 'name = "QTY1"'), ["routing.toml", "QTY1"]),
    ("routing.toml", replaced("[[block.column]]", "[[block.column]", 1), ["routing.toml", "TOML"]),
    ("start.toml", replaced('field = "job_units"', 'field = "job_unit"'), ["job_unit", "first_job"]),
    ("start.toml", replaced('sheet = "Job"', 'sheet = "Jobs"'), ["Jobs", "first_job"]),
    ("price.toml", replaced('first = "1"', 'first = "lot_siz"'), ["lot_siz", "Price"]),
    ("price.toml", replaced("SUM(next_piece_buyout[])", "next_piece_buyout"), ["next_piece_buyout", "no single cell"]),
    ("template.toml", replaced('"start", ', '"begin", '), ["begin.toml", "missing"]),
    ("template.toml", replaced("revision = 4", "revision = 0"), ["template.toml", "revision"]),
]


@pytest.mark.parametrize(("file", "change", "words"), SPOILED, ids=[f"{file} {words}" for file, _, words in SPOILED])
def test_a_spoiled_template_is_refused_by_name(
    folder: Path, file: str, change: Callable[[str], str], words: list[str]
) -> None:
    path = folder / file
    path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    with pytest.raises(TemplateError) as refusal:
        lay_out(load_template(str(folder)))
    for word in words:
        assert word in str(refusal.value)


@pytest.mark.parametrize(
    "formula", ["unitprice*1", "lot_size_", "NOSUCH(1)", "SUM(lot_size[]", "1+", "{1;2", "Lot_size"]
)
def test_a_formula_that_no_program_can_compute_makes_no_workbook(folder: Path, formula: str) -> None:
    """Also where its words do not look like field names."""
    path = folder / "price.toml"
    path.write_text(replaced('first = "1"', f'first = "{formula}"')(path.read_text(encoding="utf-8")), encoding="utf-8")
    with pytest.raises(TemplateError, match="formula"):
        make_workbook(template=str(folder), rows=FEW_ROWS)


def test_a_copy_of_the_template_is_not_refused(folder: Path) -> None:
    assert lay_out(load_template(str(folder))).names == lay_out(load_template()).names


def test_an_unknown_template_is_refused() -> None:
    with pytest.raises(TemplateError, match="no-such-template"):
        load_template("no-such-template")


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ({"rowting": 3}, "rowting"),
        ({"routing": 0}, "1 to 99"),
        ({"routing": -4}, "1 to 99"),
        ({"routing": 100}, "1 to 99"),
        ({"quantity_breaks": 13}, "1 to 12"),
    ],
)
def test_a_capacity_that_cannot_be_is_refused_with_what_is_allowed(rows: dict[str, int], words: str) -> None:
    with pytest.raises(TemplateError, match=words):
        load_template(capacities=rows)


@pytest.mark.parametrize("rows", [1, 2, 99])
def test_the_routing_can_be_made_shorter_or_longer(rows: int) -> None:
    plan = lay_out(load_template(capacities={"routing": rows}))
    assert plan.placed["operation_number"].rows == rows
    assert plan.placed["actual_run_hours"].rows == rows, "the Actuals must follow the Routing"


def test_every_capacity_at_its_least_and_at_its_most_can_be_laid_out() -> None:
    template = load_template()
    assert len(template.limits) == len(template.capacities) >= 10
    lay_out(load_template(capacities=dict.fromkeys(template.capacities, 1)))
    lay_out(load_template(capacities=template.limits))


def test_the_capacities_are_those_promised() -> None:
    """Published: the issue's list of row capacities."""
    promised = {"routing": 24, "buyouts": 20, "supplier_prices": 60, "nonrecurring": 16, "cutting": 60}
    capacities = load_template().capacities
    assert {name: capacities[name] for name in promised} == promised
    assert capacities["quantity_breaks"] == 6


def test_every_input_of_the_models_has_its_cell_and_every_cell_its_input() -> None:
    """A field that one side has and the other has not would be lost between file and workbook."""
    from quotebook.model import Job, Shop

    cells = set()
    for placed in inputs_of(lay_out(load_template())):
        bind = placed.field.bind
        cells.add(bind if placed.shape == "scalar" else placed.table_bind + ("" if bind == "." else f".{bind}"))
    fields = {f"job.{path}" for path in paths(Job)} | {f"shop.{path}" for path in paths(Shop)}
    assert cells == fields
    assert len(fields) > 130


def paths(model: type, before: str = "") -> set[str]:
    """Return the path of every plain value of a model, lists under the word that they have in files."""
    from typing import get_args

    from pydantic import BaseModel

    found: set[str] = set()
    for name, info in model.model_fields.items():  # type: ignore[attr-defined]
        word = before + str(info.validation_alias or name)
        inner = [arg for arg in (info.annotation, *get_args(info.annotation)) if isinstance(arg, type)]
        models = [each for each in inner if issubclass(each, BaseModel)]
        found |= paths(models[0], word + ".") if models else {word}
    return found


def test_every_sheet_says_what_it_is_for() -> None:
    template = load_template()
    assert len(template.sheets) == 19
    for sheet in template.sheets:
        assert sheet.purpose.strip()
        assert sum(1 for _ in fields_of(sheet)) > 0
