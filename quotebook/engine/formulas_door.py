"""The library ``formulas`` (1.3.4) as a witness, with repairs for what it was measured to do wrong.

It aborts a whole book over one formula that it cannot read, takes ``--x`` for x, rounds in binary, answers #NAME? for
functions that it lacks (which IFERROR then hides), leaves loops out of its answer, and takes a count of rows for one.
Each is met before or after it computes. ``tests/engine/test_witness.py`` and ``tests/flows/test_witnesses.py`` hold one
test for each repair, which tells when the repair can go.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import ROUND_DOWN, ROUND_HALF_UP, ROUND_UP, Decimal
from functools import lru_cache, partial
from typing import Any

from quotebook.engine.book import Evaluation, FormulaBook
from quotebook.engine.precedents import Mentions, Precedents
from quotebook.errors import EngineError
from quotebook.values import Address, ErrorValue, Value, column_letters

ENGINE = "formulas"
#: Functions that answer wrongly without a word: steps on binary noise or with the sign lost, text read as a date.
_WRONG = frozenset({"CEILING.MATH", "FLOOR", "FLOOR.MATH", "MROUND", "VALUE", "TRIM"})
#: A quoted text or sheet title, or the rows of a range on the formula's own sheet.
_ROWS = re.compile(
    r"""\"(?:[^"]|"")*\"|'(?:[^']|'')*'"""
    r"""|(?<![A-Za-z0-9_.])ROWS\(\$?[A-Z]{1,3}\$?(?P<first>\d+):\$?[A-Z]{1,3}\$?(?P<last>\d+)\)"""
)
_ERRORS = {error.value: error for error in ErrorValue}


def evaluate_with_formulas(book: FormulaBook) -> Evaluation:
    """Return the library's answers for a book. Errors: EngineError when it gives up on the whole of it."""
    library = _repaired()
    precedents = Precedents(book)
    names, broken = _names(library, book)
    troubles = dict(book.opaque)
    cells: dict[str, object] = {}
    for cell, formula in book.formulas.items():
        trouble = _trouble(library, formula, precedents.mentions[cell], broken)
        if trouble:
            troubles.setdefault(cell, trouble)
        else:
            cells[_key(cell, book.arrays.get(cell))] = f"={_counted(formula.removeprefix('='))}"
    for cell, value in book.inputs.items():
        if cell not in book.formulas:
            cells[_key(cell)] = _constant(value)
    try:
        solution = library.ExcelModel().from_dict({**cells, **names}).calculate()
    except Exception as error:
        raise EngineError(
            f"witness formulas: the library gave up on the book ({type(error).__name__}: {error})"
        ) from error
    values: dict[Address, Value] = {}
    for cell in book.formulas:
        if cell not in troubles:
            _take(solution, cell, book.arrays.get(cell), values, troubles)
    return precedents.finish(values, troubles, ENGINE)


@lru_cache(maxsize=1)
def _repaired() -> Any:
    import formulas
    from formulas.functions import wrap_ufunc

    functions = formulas.get_functions()
    for name, mode in (
        ("ROUND", ROUND_HALF_UP),
        ("ROUNDUP", ROUND_UP),
        ("ROUNDDOWN", ROUND_DOWN),
        ("TRUNC", ROUND_DOWN),
    ):
        functions[name] = wrap_ufunc(partial(_round, mode=mode))
    return formulas


def _round(value: float, digits: float = 0, *, mode: str) -> float:
    """Round on the 15 digits that are shown; the library rounds the binary number (ROUND(1.005,2) gave 1)."""
    step = Decimal(1).scaleb(-int(digits))
    return float((Decimal(f"{value:.15g}") / step).quantize(Decimal(1), mode) * step)


def _trouble(library: Any, formula: str, mentioned: Mentions, broken: Mapping[str, str]) -> str:
    """Return why a formula must not be shown to the library, or an empty text."""
    if mentioned.trouble:
        return mentioned.trouble
    if mentioned.double_minus:
        return "formulas takes a double minus for a plus"
    if mentioned.table:
        return "formulas cannot read references to tables"
    functions = library.get_functions()
    lacking = sorted(name for name in mentioned.functions if name not in functions)
    if lacking:
        return f"formulas lacks the function {lacking[0]}"
    wrong = sorted(mentioned.functions & _WRONG)
    if wrong:
        return f"formulas is known to compute {wrong[0]} wrongly"
    if any("'" in title for title in mentioned.sheets):
        return "formulas cannot read sheet titles with an apostrophe"
    for sheet, name in mentioned.names:
        if sheet is not None:
            return f"formulas does not know names of single sheets ({name})"
        if name in broken:
            return broken[name]
    try:
        library.Parser().ast(f"={formula.removeprefix('=')}")
    except Exception as error:
        return f"formulas cannot read the formula ({type(error).__name__})"
    return ""


def _counted(formula: str) -> str:
    """Return the formula with the number in place of ``ROWS(A$1:A7)``.

    The library takes a running count of rows that begins in its own cell for a loop, and answers nothing that depends
    on it. The number of rows is known without looking at any cell.
    """

    def one(match: re.Match[str]) -> str:
        return match[0] if match["first"] is None else str(int(match["last"]) - int(match["first"]) + 1)

    return _ROWS.sub(one, formula)


def _names(library: Any, book: FormulaBook) -> tuple[dict[str, str], dict[str, str]]:
    """Return the workbook's names for the library, and those that it cannot read with the reason."""
    names, broken = {}, {}
    for (sheet, name), meaning in book.names.items():
        if sheet is not None or name.casefold().startswith("_xlnm."):
            continue
        text = f"={meaning.removeprefix('=')}"
        try:
            library.Parser().ast(text)
        except Exception as error:
            broken[name.casefold()] = f"formulas cannot read the defined name {name} ({type(error).__name__})"
        else:
            names[f"'[BOOK.XLSX]'!{name.upper()}"] = text
    return names, broken


def _key(first: Address, last: Address | None = None) -> str:
    """Return the library's name for a cell or an array formula's cells."""
    place = f"{column_letters(first.column)}{first.row}"
    if last is not None and last != first:
        place += f":{column_letters(last.column)}{last.row}"
    title = first.sheet.upper().replace("'", "''")
    return f"'[BOOK.XLSX]{title}'!{place}"


def _constant(value: Value) -> object:
    if value is None:
        return "#EMPTY"
    if isinstance(value, ErrorValue):
        return f"={value.value}"
    if isinstance(value, str) and value.startswith(("=", "#")):
        escaped = value.replace('"', '""')
        return f'="{escaped}"'  # else it would be taken for a formula, or for a blank
    return value


def _take(
    solution: Any, first: Address, last: Address | None, values: dict[Address, Value], troubles: dict[Address, str]
) -> None:
    """Move the answer for a formula, one cell or several, from the library's solution to ours."""
    answer = solution.get(_key(first, last))
    if not hasattr(answer, "value"):
        return
    last = last or first
    for row in range(first.row, last.row + 1):
        for column in range(first.column, last.column + 1):
            try:
                value = _value(answer.value[row - first.row, column - first.column])
            except (TypeError, ValueError, IndexError):
                troubles[first] = "formulas gave an answer that is no cell value"
                return
            values[Address(first.sheet, row, column)] = value


def _value(answer: Any) -> Value:
    import schedula

    if answer is schedula.EMPTY:
        return 0.0
    if hasattr(answer, "item"):
        answer = answer.item()
    if isinstance(answer, bool):
        return answer
    if isinstance(answer, int | float):
        return float(answer)
    if str(answer) in _ERRORS and type(answer) is not str:
        return _ERRORS[str(answer)]
    if isinstance(answer, str) and not str(answer).startswith("#CIRC"):
        return str(answer)
    raise ValueError(f"{answer!r} is no cell value")
