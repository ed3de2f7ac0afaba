"""Criteria of the SUMIF family: ``">=5"``, ``"<>"``, ``"ab*"``, 3, TRUE, and what they match.

Source: rules of spreadsheet programs from memory, checked against LibreOffice in the tests.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache

from quotebook.engine.convert import CellError, NotSupported, number_from_text
from quotebook.engine.operators import order
from quotebook.values import ErrorValue, Value

Matcher = Callable[[Value], bool]

_OPERATOR = re.compile(r"(<>|<=|>=|=|<|>)?(.*)", re.DOTALL)
_ERRORS = {error.value: error for error in ErrorValue}


def matcher(criterion: Value) -> Matcher:
    """Return the test that a criterion stands for."""
    return _matcher(type(criterion).__name__, criterion)


@lru_cache(maxsize=4096)
def _plain(criterion: str) -> str | None:
    match = _OPERATOR.fullmatch(criterion)
    if match is None or match[1] or not criterion or set("*?~") & set(criterion):
        return None
    upper = criterion.strip().upper()
    if upper in ("TRUE", "FALSE") or upper in _ERRORS:
        return None
    try:
        number_from_text(criterion)
    except CellError:
        return criterion.casefold()
    except NotSupported:
        pass
    return None


def plain_text(criterion: Value) -> str | None:
    """Return the folded text when a criterion asks for nothing but equal text, else None."""
    return _plain(criterion) if type(criterion) is str else None


@lru_cache(maxsize=4096)
def _matcher(kind: str, criterion: Value) -> Matcher:
    # ``kind`` is part of the cache's key, since TRUE and 1 are equal and mean different things here.
    if criterion is None:
        return _number_test("=", 0.0)
    if isinstance(criterion, bool):
        return lambda value: value is criterion
    if isinstance(criterion, float):
        return _number_test("=", criterion)
    if isinstance(criterion, ErrorValue):
        return lambda value: value is criterion
    match = _OPERATOR.fullmatch(criterion)
    assert match is not None, "the pattern matches any text"
    operator, operand = match[1] or "", match[2]
    if not operand:
        return _blank_test(operator)
    return _operand_test(operator or "=", operand)


def _blank_test(operator: str) -> Matcher:
    if operator == "":
        return lambda value: value is None or value == ""
    if operator == "=":
        return lambda value: value is None
    if operator == "<>":
        return lambda value: value is not None
    return lambda value: False


def _operand_test(operator: str, operand: str) -> Matcher:
    upper = operand.strip().upper()
    if upper in ("TRUE", "FALSE"):
        wanted = upper == "TRUE"
        if operator in ("=", "<>"):
            return lambda value: (value is wanted) == (operator == "=")
        return lambda value: isinstance(value, bool) and _holds(operator, int(value) - int(wanted))
    if upper in _ERRORS and operator in ("=", "<>"):
        error = _ERRORS[upper]
        return lambda value: (value is error) == (operator == "=")
    try:
        return _number_test(operator, number_from_text(operand))
    except CellError:
        return _text_test(operator, operand)
    except NotSupported as trouble:
        return _doubtful_test(_text_test(operator, operand), str(trouble))


def _doubtful_test(on_text: Matcher, reason: str) -> Matcher:
    """Compare text as text; a number beside a text such as 12-34 cannot be judged without knowing the language."""

    def test(value: Value) -> bool:
        if type(value) is float:
            raise NotSupported(reason)
        return on_text(value)

    return test


def _number_test(operator: str, wanted: float) -> Matcher:
    def test(value: Value) -> bool:
        if type(value) is float:
            return _holds(operator, order(value, wanted))
        if operator in ("=", "<>") and type(value) is str:
            # A cell with the text "7" counts for the criterion 7.
            try:
                same = order(number_from_text(value), wanted) == 0
            except (CellError, NotSupported):
                same = False
            return same == (operator == "=")
        return operator == "<>"

    return test


def _text_test(operator: str, operand: str) -> Matcher:
    if operator == "=" and not set("*?~") & set(operand):
        plain = operand.casefold()
        return lambda value: type(value) is str and (value == operand or value.casefold() == plain)
    if operator in ("=", "<>"):
        pattern = wildcard(operand)
        if operator == "=":
            return lambda value: type(value) is str and pattern.fullmatch(value) is not None
        return lambda value: not (type(value) is str and pattern.fullmatch(value) is not None)
    wanted = operand.casefold()

    def test(value: Value) -> bool:
        if type(value) is not str:
            return False
        folded = value.casefold()
        return _holds(operator, (folded > wanted) - (folded < wanted))

    return test


def _holds(operator: str, sign: int) -> bool:
    if operator == "=":
        return sign == 0
    if operator == "<>":
        return sign != 0
    if operator == "<":
        return sign < 0
    if operator == ">":
        return sign > 0
    return sign <= 0 if operator == "<=" else sign >= 0


@lru_cache(maxsize=4096)
def wildcard(pattern: str) -> re.Pattern[str]:
    """Return the regular expression of a pattern: ``*`` any text, ``?`` one character, ``~`` takes the next literally.

    Each piece between two stars is taken at its first place and never tried again (atomic groups), so that a hostile
    pattern with many stars stays cheap.
    """
    pieces = [""]
    position = 0
    while position < len(pattern):
        character = pattern[position]
        if character == "~" and position + 1 < len(pattern) and pattern[position + 1] in "*?~":
            position += 1
            pieces[-1] += re.escape(pattern[position])
        elif character == "*":
            pieces.append("")
        else:
            pieces[-1] += "." if character == "?" else re.escape(character)
        position += 1
    if len(pieces) == 1:
        return re.compile(pieces[0], re.IGNORECASE | re.DOTALL)
    middle = "".join(f"(?>.*?{piece})" for piece in pieces[1:-1] if piece)
    return re.compile(f"{pieces[0]}{middle}.*{pieces[-1]}", re.IGNORECASE | re.DOTALL)
