"""Whose a workbook is, as other workbooks of the same call have to know it, and when two names mean one customer."""

from __future__ import annotations

import re
import unicodedata
from typing import NamedTuple

#: Letters that a name must have in all; shorter ones stand in many texts by chance.
FEWEST_LETTERS = 4
#: A longer text in the customer's cell is no name.
LONGEST_NAME = 120
#: Names whose letters agree to so many percent are one name with a slip in it.
ALIKE = 88.0

_GAP = re.compile(r"[\W_]+")
_BRACKETS = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
_MAIL = re.compile(r"[\w.+-]{1,64}@[\w-]{1,64}(?:\.[\w-]{1,64}){1,4}")
#: Combining signs, which stand beside their letters in the decomposed form.
_SIGNS = re.compile(r"[\u0300-\u036f]+")
_JOINING_WORDS = "and und et y e the der die das of for"
_LEGAL_WORDS = """
ltd limited inc incorporated corp corporation co company llc llp lp plc gmbh mbh ag kg kgaa ohg se sa sas sarl srl spa
sl bv nv ab as asa aps oy oyj pty pvt kft sro doo group holding holdings cooperative coop
"""
#: Words that name nobody: parts of a form, of the trade, of a demonstration.
_COMMON_WORDS = """
customer customers client clients company firm shop works work job jobs order orders quote quotes quotation part parts
price prices name number note notes new old various other others unknown none nobody internal external stock
sample samples example examples demo test tests tester trial invented imaginary fictional made up dummy template
purchasing purchase sales engineering engineer quality office manager department team service services production
machine machines machining machined manufacturing manufacturer industries industry industrial metal metals steel
tool tools tooling precision technology technologies technical systems system products product supply supplies
supplier suppliers solutions international national global general american european central first city north south
east west cash private prototype lathe mill milling turning grinding inspection delivery freight setup
pump pumps valve valves gear gears bearing bearings spring springs shaft shafts bracket brackets plate plates
block blocks flange flanges tube tubes pipe pipes bolt bolts screw screws motor motors drive drives
"""
_JOINING, _LEGAL = frozenset(_JOINING_WORDS.split()), frozenset(_LEGAL_WORDS.split())
_COMMON = frozenset(_COMMON_WORDS.split())


class Whose(NamedTuple):
    """What one file of a call says of whose it is. ``file``: its name without folders.

    ``customer`` and ``quote_number``: "" for none; ``mails``: addresses in the contact's cell; ``prices``: the unit
    prices stored at the last save, in the order of the quantities.
    """

    file: str
    customer: str
    mails: tuple[str, ...] = ()
    quote_number: str = ""
    prices: tuple[float, ...] = ()


def folded(text: str) -> str:
    """Return a text as small words with one blank between: no capitals, accents, hyphens or double blanks."""
    text = text.casefold()
    if not text.isascii():
        text = _SIGNS.sub("", unicodedata.normalize("NFKD", text))
    return " ".join(word for word in _GAP.split(text) if word and word not in _JOINING)


def core(name: str) -> tuple[str, ...]:
    """Return the words that name a customer: without remarks in brackets and without the legal form at the end."""
    words = folded(_BRACKETS.sub(" ", name)).split()
    while len(words) > 1 and words[-1] in _LEGAL:
        words.pop()
    return tuple(words)


def is_telling(name: str) -> bool:
    """Tell whether a name is one that can be looked for: long enough, and not of common words alone."""
    if len(name) > LONGEST_NAME:
        return False
    words = core(name)
    letters = sum(letter.isalpha() for word in words for letter in word)
    return letters >= FEWEST_LETTERS and any(_tells(word) for word in words)


def _tells(word: str) -> bool:
    return not word.isdigit() and word not in _COMMON and word not in _LEGAL


def is_same(name: str, other: str) -> bool:
    """Tell whether two names mean one customer: written more or less fully, or with a slip."""
    from rapidfuzz import fuzz

    one, two = core(name), core(other)
    if not one or not two:
        return False
    short, long = sorted((set(one), set(two)), key=len)
    within = short <= long and any(_tells(word) for word in short)
    return one == two or within or fuzz.ratio(" ".join(one), " ".join(two)) >= ALIKE


def is_kin(name: str, other: str) -> bool:
    """Tell whether two names may be companies of one group: they begin with the same telling word."""
    one, two = core(name), core(other)
    return bool(one and two) and one[0] == two[0] and len(one[0]) >= FEWEST_LETTERS and _tells(one[0])


def mails_in(text: str) -> tuple[str, ...]:
    """Return the mail addresses in a text."""
    return tuple(sorted({one.casefold() for one in _MAIL.findall(text[:500])}))


def is_telling_number(number: str) -> bool:
    """Tell whether a quotation number can be looked for in texts: letters in it, three digits, one word."""
    if not 5 <= len(number) <= 40 or " " in number:
        return False
    return any(sign.isalpha() for sign in number) and sum(sign.isdigit() for sign in number) >= 3


def are_telling_prices(prices: tuple[float, ...]) -> bool:
    """Tell whether three prices in a row prove where they come from: all differ, and two are no round sums."""
    return len(set(prices)) == len(prices) and sum(abs(price - round(price)) > 1e-9 for price in prices) >= 2
