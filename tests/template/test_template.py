"""The template as data: what is refused on load, how field names become references, and what every formula may use."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from quotebook.errors import TemplateError
from quotebook.template.layout import lay_out
from quotebook.template.load import load_template, templates_folder
from quotebook.template.references import Place, resolve

#: Functions that the three spreadsheet programs of addressable age all have (their function lists; the newest is
#: MAXIFS, in the standard since 2016 and in LibreOffice since 5.2). No volatile one is among them.
PORTABLE = {
    "ABS", "AND", "COUNT", "COUNTA", "COUNTIF", "COUNTIFS", "IF", "INDEX", "INT", "ISNA", "ISNUMBER", "LEFT", "MATCH",
    "MAX", "MAXIFS", "MEDIAN", "MIN", "NORMSDIST", "NORMSINV", "NOT", "OR", "PI", "PRODUCT", "ROUND", "ROUNDDOWN",
    "ROUNDUP", "ROWS", "SEARCH", "SQRT", "SUM", "SUMIF", "SUMPRODUCT", "TRIM",
}  # fmt: skip


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A copy of the template that a test may spoil."""
    return Path(shutil.copytree(templates_folder() / "machined-part", tmp_path / "machined-part"))


def spoil(folder: Path, sheet: str, old: str, new: str) -> None:
    path = folder / f"{sheet}.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


SPOILED = [
    ("price", "lot_size=0", "lot_sizes=0", "lot_sizes"),  # a name that is no field
    ("stock", 'name = "stock_form"', 'name = "part_number"', "part_number"),  # a name used twice
    ("stock", 'type = "choice"', 'type = "choices"', "type"),
    ("stock", 'bind = "job.stock.form"', "", "stock_form"),  # an input without a place for its value
    ("routing", 'capacity = "routing"', 'capacity = "routings"', "routings"),
    ("start", 'sheet = "Routing"', 'sheet = "Route"', "Route"),
    ("routing", 'name = "touch_offs"', 'name = "TOUCH1"', "name"),  # an address, not a name
    ("job", "[[block]]", "[[block", "TOML"),
]


@pytest.mark.parametrize(("sheet", "old", "new", "word"), SPOILED)
def test_a_template_that_contradicts_itself_is_refused_by_name(
    copied: Path, sheet: str, old: str, new: str, word: str
) -> None:
    spoil(copied, sheet, old, new)
    with pytest.raises(TemplateError, match=word):
        lay_out(load_template(str(copied)))


def test_a_sheet_file_that_is_missing_is_named(copied: Path) -> None:
    (copied / "risk.toml").unlink()
    with pytest.raises(TemplateError, match=r"risk\.toml"):
        load_template(str(copied))


@pytest.mark.parametrize(
    ("capacities", "word"), [({"wings": 3}, "wings"), ({"routing": 0}, "0"), ({"routing": 1000}, "99")]
)
def test_a_capacity_that_cannot_be_is_refused(capacities: dict[str, int], word: str) -> None:
    with pytest.raises(TemplateError, match=word):
        load_template(capacities=capacities)


def test_capacities_change_the_rows_and_nothing_gets_lost() -> None:
    plan = lay_out(load_template(capacities={"routing": 3, "quantity_breaks": 8}))
    assert plan.placed["operation_number"].rows == 3
    assert plan.placed["unit_price"].columns == 9  # the first piece alone and eight breaks
    assert plan.placed["actual_setup_hours"].rows == 3  # a table that follows the routing


def test_formulas_use_only_what_every_program_has() -> None:
    plan = lay_out(load_template())
    used = set()
    formulas = 0
    for sheet in plan.sheets:
        for cell in sheet.cells.values():
            if cell.formula:
                formulas += 1
                without_text = re.sub(r'"[^"]*"', '""', cell.formula)
                used |= set(re.findall(r"([A-Z][A-Z.]*)\(", without_text))
                assert "--" not in without_text, cell.formula
                assert "[" not in without_text, cell.formula
                assert len(cell.formula) < 8192  # the file format's limit, ECMA-376 part 1, 18.17
    assert formulas > 3000
    assert used <= PORTABLE, sorted(used - PORTABLE)


PLACE = Place("Routing", "routing", 2)
#: Formula in field names, the place it stands at, and what it must become; the rows are those of the default layout.
RESOLVED = [
    ("price_step*2", Place("Rates"), "price_step*2"),
    ('"price_step"&price_step', Place("Rates"), '"price_step"&price_step'),
    ("SUM(setup_hours[])", Place("Price", lot=1), "SUM(setup_hours)"),
    ("SUM(pieces_entering[])", Place("Price", lot=0), "SUM(pieces_entering_first)"),
    ("SUM(pieces_entering[])", Place("Price", lot=2), "SUM(pieces_entering_lot_2)"),
]


@pytest.mark.parametrize(("formula", "place", "wanted"), RESOLVED)
def test_field_names_become_references(formula: str, place: Place, wanted: str) -> None:
    plan = lay_out(load_template())
    assert resolve(formula, place, plan.placed, plan.names) == wanted


def test_a_column_is_the_cell_of_its_row_and_a_series_the_cell_of_its_lot() -> None:
    plan = lay_out(load_template())
    row = plan.placed["touch_offs"].row + PLACE.row if PLACE.row else 0
    assert resolve("touch_offs", PLACE, plan.placed, plan.names).endswith(str(row))
    first, third = (resolve("unit_price", Place("Price", lot=lot), plan.placed, plan.names) for lot in (0, 2))
    assert (first[0], third[0]) == ("C", "E")
    assert resolve("unit_price[-1]", Place("Price", lot=2), plan.placed, plan.names)[0] == "D"
    assert resolve("operation_yield[@:]", PLACE, plan.placed, plan.names).count(":") == 1


@pytest.mark.parametrize(
    "formula", ["setup_hours*2", "unit_price[-1]", "price_step[]", "no_such_field", "setup_hours[@:]"]
)
def test_a_name_without_meaning_at_its_place_is_refused(formula: str) -> None:
    plan = lay_out(load_template())
    place = Place("Price", lot=0) if "unit_price" in formula else Place("Price")
    with pytest.raises(TemplateError):
        resolve(formula, place, plan.placed, plan.names)
