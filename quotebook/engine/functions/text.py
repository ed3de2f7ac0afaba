"""Text taken apart and put together."""

from __future__ import annotations

import re

from quotebook.engine.arrays import Operand
from quotebook.engine.convert import CellError, number_from_text, text
from quotebook.engine.criteria import wildcard
from quotebook.engine.functions.gather import values
from quotebook.engine.functions.rounding import round_half_away
from quotebook.engine.registry import function
from quotebook.values import ErrorValue, Value

#: The longest text that a cell holds.
LONGEST = 32_767


def _fits(result: str) -> str:
    if len(result) > LONGEST:
        raise CellError(ErrorValue.VALUE)
    return result


def _count(value: float, least: int = 0) -> int:
    if value < least:
        raise CellError(ErrorValue.VALUE)
    return int(min(value, LONGEST * 10))


@function("LEFT", "t [n]", "t")
def left(value: str, count: float = 1.0) -> str:
    """Return the first characters."""
    return value[: _count(count)]


@function("RIGHT", "t [n]", "t")
def right(value: str, count: float = 1.0) -> str:
    """Return the last characters."""
    taken = _count(count)
    return value[-taken:] if taken else ""


@function("MID", "t n n", "t")
def middle(value: str, start: float, count: float) -> str:
    """Return characters from a place counted from 1."""
    first = _count(start, 1) - 1
    return value[first : first + _count(count)]


@function("LEN", "t", "n")
def length(value: str) -> float:
    """Count characters."""
    return float(len(value))


@function("UPPER", "t", "t")
def upper(value: str) -> str:
    """Return capitals."""
    return value.upper()


@function("LOWER", "t", "t")
def lower(value: str) -> str:
    """Return small letters."""
    return value.lower()


@function("PROPER", "t", "t")
def proper(value: str) -> str:
    """Return a capital after everything that is no letter, small letters elsewhere."""
    out, inside = [], False
    for character in value:
        out.append(character.lower() if inside else character.upper())
        inside = character.isalpha()
    return "".join(out)


@function("TRIM", "t", "t")
def trim(value: str) -> str:
    """Take away spaces at both ends and all but one between words."""
    return re.sub(" +", " ", value).strip(" ")


@function("CLEAN", "t", "t")
def clean(value: str) -> str:
    """Take away control characters."""
    return "".join(character for character in value if ord(character) >= 32)


@function("SUBSTITUTE", "t t t [n]", "t")
def substitute(value: str, old: str, new: str, which: float | None = None) -> str:
    """Replace a text everywhere, or only where it stands for the n-th time."""
    if which is None:
        return _fits(value.replace(old, new)) if old else value
    wanted = _count(which, 1)
    if not old:
        return value
    place = -len(old)
    for _ in range(min(wanted, len(value) + 1)):
        place = value.find(old, place + len(old) if place >= 0 else 0)
        if place < 0:
            return value
    return _fits(value[:place] + new + value[place + len(old) :])


@function("REPLACE", "t n n t", "t")
def replace(value: str, start: float, count: float, new: str) -> str:
    """Replace characters by place."""
    first = _count(start, 1) - 1
    return _fits(value[:first] + new + value[first + _count(count) :])


@function("FIND", "t t [n]", "n")
def find(wanted: str, value: str, start: float = 1.0) -> float:
    """Return the place of a text, capitals regarded; #VALUE! without."""
    first = _count(start, 1) - 1
    place = value.find(wanted, first) if first <= len(value) else -1
    if place < 0:
        raise CellError(ErrorValue.VALUE)
    return float(place + 1)


@function("SEARCH", "t t [n]", "n")
def search(wanted: str, value: str, start: float = 1.0) -> float:
    """Return the place of a pattern, without regard to capitals; #VALUE! without."""
    first = _count(start, 1) - 1
    found = wildcard(wanted).search(value, first) if first <= len(value) else None
    if found is None:
        raise CellError(ErrorValue.VALUE)
    return float(found.start() + 1)


@function("REPT", "t n", "t")
def repeat(value: str, times: float) -> str:
    """Return a text several times over."""
    count = _count(times)
    if count * len(value) > LONGEST:
        raise CellError(ErrorValue.VALUE)
    return value * count


@function("EXACT", "t t", "b")
def exact(first: str, second: str) -> bool:
    """Return whether two texts are the same, capitals regarded."""
    return first == second


@function("CONCATENATE", "t (t)*", "t")
def concatenate(*parts: str) -> str:
    """Join texts."""
    return _fits("".join(parts))


@function("CONCAT", "a (a)*", "t")
def concat(*parts: Operand) -> str:
    """Join texts and ranges of them."""
    return _fits("".join(text(value) for value, _ in values(parts)))


@function("TEXTJOIN", "t b a (a)*", "t")
def join_with(delimiter: str, skip_empty: bool, *parts: Operand) -> str:
    """Join texts with something between, skipping empty ones if told so."""
    texts = [text(value) for value, _ in values(parts)]
    return _fits(delimiter.join(each for each in texts if each or not skip_empty))


@function("CHAR", "n", "t")
def character(code: float) -> str:
    """Return a character by its number in the Windows character set."""
    if not 1 <= code < 256:
        raise CellError(ErrorValue.VALUE)
    return bytes([int(code)]).decode("cp1252", "replace")


@function("CODE", "t", "n")
def code(value: str) -> float:
    """Return the number of the first character in the Windows character set."""
    if not value:
        raise CellError(ErrorValue.VALUE)
    return float(value[0].encode("cp1252", "replace")[0])


@function("VALUE", "v", "n")
def value_of(value: Value) -> float:
    """Return the number that a text stands for."""
    if isinstance(value, bool):
        raise CellError(ErrorValue.VALUE)
    if isinstance(value, str):
        return number_from_text(value)
    return value if isinstance(value, float) else 0.0


@function("T", "v", "t")
def text_only(value: Value) -> str:
    """Return a text as it is, and an empty text for everything else."""
    return value if isinstance(value, str) else ""


@function("FIXED", "n [n b]", "t")
def fixed(value: float, digits: float = 2.0, plain: bool = False) -> str:
    """Return a number as text with decimal places, with commas between thousands."""
    places = max(int(digits), 0)
    if places > 20:
        raise CellError(ErrorValue.VALUE)
    rounded = round_half_away(value, digits)
    return f"{rounded:.{places}f}" if plain else f"{rounded:,.{places}f}"
