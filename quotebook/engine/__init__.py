"""Formulas evaluated outside the spreadsheet program; knows nothing of the trade.

The public names are loaded at their first use, so that importing this package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from quotebook.engine.agreement import Absent, Agreement, Verdict, compare
    from quotebook.engine.book import Evaluation, FormulaBook, Result, Status, TableRange
    from quotebook.engine.compile import compile_book
    from quotebook.engine.evaluation import evaluate
    from quotebook.engine.normal import fingerprint, normal_form
    from quotebook.engine.program import Program
    from quotebook.engine.witness import witness_formulas, witness_ironcalc

_HOMES = {
    "Absent": "agreement",
    "Agreement": "agreement",
    "Verdict": "agreement",
    "compare": "agreement",
    "fingerprint": "normal",
    "normal_form": "normal",
    "witness_formulas": "witness",
    "witness_ironcalc": "witness",
    "Evaluation": "book",
    "FormulaBook": "book",
    "Program": "program",
    "Result": "book",
    "Status": "book",
    "TableRange": "book",
    "compile_book": "compile",
    "evaluate": "evaluation",
}

__all__ = [
    "Absent",
    "Agreement",
    "Evaluation",
    "FormulaBook",
    "Program",
    "Result",
    "Status",
    "TableRange",
    "Verdict",
    "compare",
    "compile_book",
    "evaluate",
    "fingerprint",
    "normal_form",
    "witness_formulas",
    "witness_ironcalc",
]


def __getattr__(name: str) -> Any:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{home}"), name)
    globals()[name] = value
    return value
