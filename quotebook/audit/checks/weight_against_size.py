"""A typed weight or density does not go with the sizes or the material.

What it finds
    A weight of one bar or blank, or a density, that differs by more than a fifth from what sizes and material give.

Why it costs money
    Stock priced by weight is off by as much as the weight is: the density of steel for aluminium nearly triples it.

Faulty
    aluminium, density 7.85

Sound
    aluminium, density 2.70

How to mend
    Empty the cell, so that the weight is worked out; or correct the sizes.

False alarms
    Hollow or shaped blanks weigh less than their envelope.

Source
    Catalogue row V14.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, by_value, tell
from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.view import BookView, shown

CHECK = Check(
    "weight-against-size",
    Severity.LOOK_AT_IT,
    (Need.CONTRACT, Need.RECOMPUTED),
    When.WRONG_NOW,
    Kind.HAND_SLIP,
    ("V14",),
)
TOLERANCE = 1.2


def find(view: BookView) -> Iterator[Finding]:
    """Yield at most two findings: weight, and density."""
    weight, cell = view.field_number("stock_unit_weight"), view.field_cell("stock_unit_weight")
    computed = _computed(view)
    if weight and computed and cell is not None and not 1 / TOLERANCE <= weight / computed <= TOLERANCE:
        yield tell(
            view, CHECK, cell, shown(weight), shown(computed), "Empty the cell, or correct the sizes.",
            by_value(f"it is {weight / computed:.3g} times what sizes and density give"),
            by_contract("the weight overrules the worked-out one"), put_right={cell: None},
        )  # fmt: skip
    density, place = view.field_number("stock_density"), view.field_cell("stock_density")
    listed = _listed(view)
    if density and listed and place is not None and not 1 / TOLERANCE <= density / listed <= TOLERANCE:
        yield tell(
            view, CHECK, place, shown(density), shown(listed), "Empty the cell, or correct the material.",
            by_value(f"the list gives {shown(listed)} for this material"),
            by_contract("the density overrules the list"), put_right={place: None},
        )  # fmt: skip


def _computed(view: BookView) -> float | None:
    """Return the weight of one bar or blank from its sizes: kg for mm, lb for inches."""
    section, length = view.field_number("stock_section"), view.field_number("stock_unit_length")
    density = view.field_number("stock_density_used")
    if not section or not length or not density:
        return None
    # 1 g/cm3 is 1e-6 kg/mm3; 27.679904710203 g/cm3 are 1 lb/in3.
    return section * length * density * (1e-6 if view.field_value("stock_units_used") == "mm" else 1 / 27.679904710203)


def _listed(view: BookView) -> float | None:
    wanted = view.field_value("stock_material")
    column = view.field("material_name")
    for row in range(column.rows if column is not None and isinstance(wanted, str) and wanted else 0):
        name = view.field_value("material_name", row)
        if isinstance(name, str) and isinstance(wanted, str) and name.casefold() == wanted.casefold():
            return view.field_number("material_density", row)
    return None
