"""Small books written as A1 text, for tests of one behaviour each."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from quotebook.engine import FormulaBook, Result, evaluate
from quotebook.values import Address, Value, column_number

NOON = datetime(2024, 5, 31, 12, 0, 0)


def at(reference: str) -> Address:
    """Return the address of ``B2``, on sheet S, or of ``Other!B2``."""
    sheet, _, cell = reference.rpartition("!")
    match = re.fullmatch(r"([A-Z]+)([0-9]+)", cell)
    assert match is not None, reference
    return Address(sheet or "S", int(match[2]), column_number(match[1]))


def small(formulas: Mapping[str, str], inputs: Mapping[str, Value] | None = None, **more: Any) -> FormulaBook:
    """Return a book of sheets S and Other."""
    return FormulaBook(
        sheets=("S", "Other"),
        formulas={at(cell): text for cell, text in formulas.items()},
        inputs={at(cell): value for cell, value in (inputs or {}).items()},
        **more,
    )


def results(formulas: Mapping[str, str], inputs: Mapping[str, Value] | None = None, **more: Any) -> dict[str, Result]:
    """Return the result of each formula by its own reference."""
    evaluation = evaluate(small(formulas, inputs, **more), now=NOON)
    return {cell: evaluation.results[at(cell)] for cell in formulas}


def values(formulas: Mapping[str, str], inputs: Mapping[str, Value] | None = None, **more: Any) -> dict[str, Value]:
    """Return the value of each formula, all of which must be evaluated."""
    found = results(formulas, inputs, **more)
    assert not [result.reason for result in found.values() if result.reason]
    return {cell: result.value for cell, result in found.items()}
