"""Random texts, names and numbers as people type them into a job."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import cache, lru_cache
from typing import Any, TypeVar

from hypothesis import strategies as st

from quotebook.model import STOCK_LINE

T = TypeVar("T")
Draw = Callable[[st.SearchStrategy[Any]], Any]

#: Texts that spreadsheets, XML, TOML and formulas each misread when somebody forgets to escape.
AWKWARD_TEXTS = [
    "",
    " ",
    "=1+1",
    "+49 30 1234",
    "-5",
    "@home",
    "'quoted'",
    '"double"',
    'say ""twice""',
    "<tag> & more",
    "]]>",
    "_x0041_",
    "\\n is no line end",
    "two\nlines",
    "tab\there",
    " blank ends ",
    "007",
    "1e5",
    "TRUE",
    "#N/A",
    "2031-05-20",
    "\u00d8 25 h7 \u00b1 0,01 \u00b5m",
    "\u4e2d\u6587",
    "\u05e2\u05d1",
    "\U0001f529",
    "{braces} [brackets] $1 %s",
    "'''",
    "C:\\folder\\new",
]
_CHARACTERS = st.characters(
    codec="utf-8", exclude_categories=("Cs", "Cc", "Cn", "Co"), include_characters="\n\t", exclude_characters="\u0085"
)
texts = st.one_of(st.just(""), st.sampled_from(AWKWARD_TEXTS), st.text(_CHARACTERS, max_size=30))
_NAME_REST = st.text("abcdefgMNOP0123 ()&'\"/<>.,-+#%=@!$;:\u00e9\u00fc\u00f1\u4e2d", max_size=14)


@st.composite
def names(draw: Draw) -> str:
    """Names that lookups must find: a letter or digit, then nearly anything."""
    return (draw(st.sampled_from("ABCxyz159\u00c9\u4e2d")) + draw(_NAME_REST)).strip()


def unique_names(low: int, high: int) -> st.SearchStrategy[list[str]]:
    """Lists of names that differ by more than upper and lower case, none of them the stock's word."""
    free = names().filter(lambda name: name.casefold() != STOCK_LINE.casefold())
    return st.lists(free, min_size=low, max_size=high, unique_by=str.casefold)


@cache
def numbers(low: float, high: float, places: int = 2) -> st.SearchStrategy[float]:
    """Numbers as people type them, and now and then one that no decimal fraction writes shortly."""
    typed = st.integers(round(low * 10**places), round(high * 10**places)).map(lambda n: n / 10**places)
    # Nobody types 1e-161; LibreOffice answers #NUM! where the square of a number is too small, others 0 (measured).
    any_float = st.floats(low, high, width=64).map(lambda x: max(low, x if abs(x) > 1e-9 else 0.0))
    return st.one_of(typed, typed, any_float)


@lru_cache(typed=True)
def usually(default: T, otherwise: st.SearchStrategy[T]) -> st.SearchStrategy[T]:
    """The default in about half of the cases."""
    return st.one_of(st.just(default), otherwise)


@cache
def optional(strategy: st.SearchStrategy[T]) -> st.SearchStrategy[T | None]:
    """Nothing, or a value."""
    return st.one_of(st.none(), strategy)


days = st.dates(date(1999, 1, 1), date(2060, 12, 31))
rates = numbers(0, 300)
money = numbers(0, 2000)
units = st.sampled_from(["in", "mm"])
small_counts = usually(0, st.integers(0, 9))
