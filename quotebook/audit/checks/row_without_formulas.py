"""A row was inserted and filled in, but its formulas are missing.

What it finds
    Inserted rows of a table in which something is typed while none of the row's formulas is there.

Why it costs money
    The operation, purchase or fixture typed there is worked out nowhere: it is missing from the price.

Faulty
    20 | Deburr | 0.5 h |                  (inserted, columns "Setup hours" and the rest blank)

Sound
    20 | Deburr | 0.5 h | =IF(A14="",0,...)

How to mend
    Copy the formulas from the row above. Tables have spare rows at their end; use those instead of inserting.

False alarms
    Inserted rows that are blank, or that have their formulas, are understood and not reported.

Source
    Catalogue rows S7 and S8; fault kind "line below the line".
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.at_field import by_contract, tell
from quotebook.audit.finding import Check, Finding, Formula, Kind, Mended, Need, Severity, When
from quotebook.audit.promised import promised
from quotebook.audit.view import BookView
from quotebook.template.references import Place
from quotebook.values import Address

CHECK = Check(
    "row-without-formulas", Severity.DO_NOT_QUOTE, (Need.CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, ("S7", "S8")
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding per row that is filled in."""
    told = promised(view)
    for (sheet, key, row), filled in told.rows_without_formulas.items():
        if not filled:
            continue
        columns = told.tables[sheet, key]
        put_right: dict[Address, Mended] = {}
        for placed in columns:
            for lot in range(placed.columns) if not placed.field.is_input else ():
                wanted = lot if placed.shape == "lot column" else None
                place = Place(sheet, placed.row_key, row - placed.row, wanted)
                formula = told.expected(placed.field.formula, place)
                if formula is not None:
                    put_right[Address(sheet, row, placed.column + lot)] = Formula(formula)
        first = min(columns, key=lambda placed: placed.column)
        yield tell(
            view, CHECK, Address(sheet, row, first.column), "a row with entries and no formulas",
            f"{len(put_right)} formulas in the row", "Copy the formulas from the row above.",
            by_contract("every row of this table calculates something"),
            put_right=put_right, if_harmless=Severity.LOOK_AT_IT,
        )  # fmt: skip
