"""How field names in a template's formulas become references."""

from __future__ import annotations

import pytest

from quotebook.errors import TemplateError
from quotebook.template.layout import lay_out
from quotebook.template.load import load_template
from quotebook.template.references import Place, resolve

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
