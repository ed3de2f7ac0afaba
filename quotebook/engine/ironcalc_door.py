"""The library ``ironcalc`` (0.9.1) as a witness.

It answers #NAME?, #ERROR! or #CIRC! where it cannot compute; a function list checked beforehand keeps IFERROR from
hiding that. Defined names that hold constants or expressions are not known to it.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

from quotebook.engine import syntax as s
from quotebook.engine.book import Evaluation, FormulaBook
from quotebook.engine.parse import parse
from quotebook.engine.precedents import Mentions, Precedents
from quotebook.engine.scope import children
from quotebook.engine.tokens import FormulaTrouble
from quotebook.errors import EngineError
from quotebook.values import Address, ErrorValue, Value

ENGINE = "ironcalc"
#: Computed array-wise inside SUMPRODUCT they gave wrong answers without a word.
_WRONG_IN_SUMPRODUCT = frozenset({"ISNUMBER", "LEN", "ROUND"})
_ERRORS = {error.value: error for error in ErrorValue}


def evaluate_with_ironcalc(book: FormulaBook) -> Evaluation:
    """Return the library's answers for a book. Errors: EngineError when it gives up on the whole of it."""
    import ironcalc

    precedents = Precedents(book)
    troubles = dict(book.opaque)
    names = _names(book)
    asked = {
        cell: _trouble(precedents.mentions[cell], names, cell in book.arrays) or _nearest(formula)
        for cell, formula in book.formulas.items()
    }
    troubles.update({cell: trouble for cell, trouble in asked.items() if trouble and cell not in troubles})
    try:
        model = ironcalc.create("book", "en", "UTC", "en")
        sheets = _sheets(model, book)
        for name, meaning in names.items():
            model.new_defined_name(name, None, meaning)
        for cell, value in book.inputs.items():
            if cell not in book.formulas:
                _put(model, sheets[cell.sheet], cell, value)
        for cell, formula in book.formulas.items():
            if cell not in troubles:
                text = f"={_PREFIX.sub('', formula.removeprefix('='))}"
                model.update_cell_with_formula(sheets[cell.sheet], cell.row, cell.column, text)
        model.evaluate()
    except Exception as error:
        raise EngineError(
            f"witness ironcalc: the library gave up on the book ({type(error).__name__}: {error}); leave it out"
        ) from error
    values: dict[Address, Value] = {}
    for cell in book.formulas:
        if cell not in troubles:
            answer = _answer(model, ironcalc, sheets[cell.sheet], cell)
            if isinstance(answer, str) and answer.startswith("!"):
                troubles[cell] = answer[1:]
            else:
                values[cell] = answer[1:] if isinstance(answer, str) else answer
    return precedents.finish(values, troubles, ENGINE)


#: Prefixes of younger functions. Inside of a text they would be kept by a parser; such a text is unheard of.
_PREFIX = re.compile(r"_xlfn\.|_xlws\.", re.IGNORECASE)


def _names(book: FormulaBook) -> dict[str, str]:
    """Return the names of the workbook that stand for plain references."""
    found = {}
    for (sheet, name), meaning in book.names.items():
        if sheet is None:
            try:
                tree = parse(meaning.removeprefix("="))
            except FormulaTrouble:
                continue
            if isinstance(tree, s.Reference):
                found[name] = meaning.removeprefix("=")
    return found


def _trouble(mentioned: Mentions, names: dict[str, str], array: bool) -> str:
    """Return why a formula must not be shown to the library, or an empty text."""
    if mentioned.trouble:
        return mentioned.trouble
    if array:
        return "array formulas are not shown to ironcalc"
    if mentioned.table:
        return "tables are not shown to ironcalc"
    known = {name.casefold() for name in names}
    for sheet, name in sorted(mentioned.names, key=str):
        if sheet is not None or name not in known:
            return f"ironcalc knows only names of the whole workbook that stand for cells ({name})"
    for function in sorted(mentioned.functions):
        if not _has(function):
            return f"ironcalc lacks the function {function}"
    if "SUMPRODUCT" in mentioned.functions and mentioned.functions & _WRONG_IN_SUMPRODUCT:
        return "ironcalc is known to compute such a SUMPRODUCT wrongly"
    return ""


#: Functions that search by nearest value unless an argument, counted from 0, says otherwise.
_NEAREST = {"MATCH": 2, "VLOOKUP": 3, "HLOOKUP": 3}


@lru_cache(maxsize=10_000)
def _nearest(formula: str) -> str:
    """Return why a search by nearest value is not judged: the library counts blank cells at the end of the line."""
    if "MATCH" not in formula.upper() and "LOOKUP" not in formula.upper():
        return ""
    pending: list[s.Node] = [parse(formula.removeprefix("="))]
    while pending:
        node = pending.pop()
        if isinstance(node, s.Call):
            place = _NEAREST.get(node.name)
            exact = place is not None and len(node.arguments) > place and _is_zero(node.arguments[place])
            if node.name == "LOOKUP" or (place is not None and not exact):
                return f"ironcalc is known to search by nearest value wrongly ({node.name})"
        pending.extend(children(node))
    return ""


def _is_zero(node: s.Node) -> bool:
    return isinstance(node, s.Missing) or (isinstance(node, s.Number | s.Logical) and not node.value)


@lru_cache(maxsize=1024)
def _has(function: str) -> bool:
    """Return whether the library knows a function; it answers #NAME? for one that it lacks."""
    import ironcalc

    probe = ironcalc.create("probe", "en", "UTC", "en")
    probe.update_cell_with_formula(0, 1, 1, f"={function}()")
    probe.evaluate()
    return bool(probe.get_cell_value(0, 1, 1) != "#NAME?")


def _sheets(model: Any, book: FormulaBook) -> dict[str, int]:
    for index, title in enumerate(book.sheets):
        if index:
            model.add_sheet(title)
        else:
            model.rename_sheet(0, title)
    return {title: index for index, title in enumerate(book.sheets)}


def _put(model: Any, sheet: int, cell: Address, value: Value) -> None:
    if isinstance(value, bool):
        model.update_cell_with_bool(sheet, cell.row, cell.column, value)
    elif isinstance(value, float | int):
        model.update_cell_with_number(sheet, cell.row, cell.column, float(value))
    elif isinstance(value, str):
        model.update_cell_with_text(sheet, cell.row, cell.column, value)
    elif isinstance(value, ErrorValue):
        model.update_cell_with_formula(sheet, cell.row, cell.column, f"={value.value}")


def _answer(model: Any, library: Any, sheet: int, cell: Address) -> Value:
    """Return a value, texts behind a space, or a trouble behind an exclamation mark."""
    value = model.get_cell_value(sheet, cell.row, cell.column)
    if model.get_cell_type(sheet, cell.row, cell.column) == library.CellType.ErrorValue:
        return _ERRORS.get(str(value), f"!ironcalc answers {value}")
    if isinstance(value, str):
        return f" {value}"
    if value is None:
        return 0.0
    return value if isinstance(value, bool) else float(value)
