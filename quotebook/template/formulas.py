"""A plan as the engine sees it, so that results are known before a file exists."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

from quotebook.engine.book import FormulaBook
from quotebook.template.plan import Plan
from quotebook.values import Address, Value

#: Functions younger than the file format that templates may use.
_NEWER = re.compile(r"\b(MAXIFS|MINIFS|IFS|SWITCH|CONCAT|TEXTJOIN|HYPGEOM\.DIST)(?=\()")


def plan_formulas(plan: Plan, inputs: Mapping[Address, Value]) -> FormulaBook:
    """Return the formulas of a plan with its texts and the given inputs as constants."""
    formulas: dict[Address, str] = {}
    constants: dict[Address, Value] = dict(inputs)
    for sheet in plan.sheets:
        for (row, column), cell in sheet.cells.items():
            address = Address(sheet.spec.title, row, column)
            if cell.formula:
                formulas[address] = as_in_files(cell.formula)
            elif cell.text:
                constants[address] = cell.text
    names: dict[tuple[str | None, str], str] = {(None, name): text for name, text in plan.names.items()}
    return FormulaBook(tuple(sheet.spec.title for sheet in plan.sheets), formulas, constants, names)


@lru_cache(maxsize=65536)
def as_in_files(formula: str) -> str:
    """Return a formula with the prefix that the file format wants before newer functions."""
    return _NEWER.sub(r"_xlfn.\1", formula)
