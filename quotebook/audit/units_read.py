"""Units read from labels, brackets and number formats, and carried through formulas.

A unit is a set of powers: price per kilogram is money 1, kg -1. What carries no sign of a unit has none that is known,
and nothing is concluded from it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from quotebook.audit.grid import Grid, Use
from quotebook.audit.labels import Labels
from quotebook.engine import syntax as s
from quotebook.values import Address

#: Written forms of units; words of several meanings ("in" as a word, "m", "s", "h" without brackets) are left to
#: the patterns that follow.
_WORDS = {
    "h": "h hr hrs hour hours stunden",
    "min": "min mins minute minutes minuten",
    "s": "sec secs second seconds sek",
    "mm": "mm millimetre millimeter millimetres millimeters",
    "cm": "cm",
    "in": "inch inches",
    "ft": "ft feet foot",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "g": "gram grams",
    "lb": "lb lbs pound pounds",
    "pc": "pc pcs pce piece pieces each ea part parts stk stück",
    "lot": "lot batch",
}
_SHORT = {"h": "h", "m": "m", "s": "s", "g": "g", "in": "in", '"': "in", "kg": "kg", "mm": "mm"}
_BY_WORD = {word: unit for unit, words in _WORDS.items() for word in words.split()}
_MONEY = re.compile(r"[$€£]|\b(?:usd|eur|gbp|cost|price|amount|charge|value)s?\b")
_RATE = re.compile(r"[$€£]|\b(?:rate|wage|cost|price|charge)s?\b")
#: "Min order" and "hours x rate" speak of no minutes and no hours.
_NO_UNIT = re.compile(r"\bmin(?:imum)?\.?\s+(?!each|per|a\b|pc|piece)[a-z]|\s[x*×]\s")
_BRACKET = re.compile(r"[(\[]([^)\]]*)[)\]]")
_PER = re.compile(r"\s*(?:/|\bper\b|\ba\b(?=\s+(?:piece|lot|kg|hour)\b)|\bpro\b)\s*")
_WORD = re.compile(r"[a-zäöü]+\"?|\"")
#: The measures that differ only by a factor, which must not be mixed.
SAME_MEASURE = {
    "h": "time", "min": "time", "s": "time",
    "mm": "length", "cm": "length", "m": "length", "in": "length", "ft": "length",
    "kg": "weight", "g": "weight", "lb": "weight",
}  # fmt: skip


class Unit(NamedTuple):
    """Powers of units, sorted by name, such as (("h", -1), ("money", 1))."""

    powers: tuple[tuple[str, int], ...]

    def power(self, name: str) -> int:
        """Return the power of one unit, 0 if it is not there."""
        return dict(self.powers).get(name, 0)

    def times(self, other: Unit, sign: int = 1) -> Unit:
        """Return the unit of a product, or of a quotient with ``sign`` -1."""
        powers = dict(self.powers)
        for name, power in other.powers:
            powers[name] = powers.get(name, 0) + sign * power
        return unit(**{name: power for name, power in powers.items() if power})

    def __str__(self) -> str:
        over = [name + (f"^{power}" if power > 1 else "") for name, power in self.powers if power > 0]
        under = [name + (f"^{-power}" if power < -1 else "") for name, power in self.powers if power < 0]
        return "*".join(over or ["1"]) + "".join(f" per {name}" for name in under)


def unit(**powers: int) -> Unit:
    """Return a unit from its powers."""
    return Unit(tuple(sorted(powers.items())))


def read_unit(text: str) -> Unit | None:
    """Return the unit that a label speaks of, or None: brackets first, else the words."""
    text = text.casefold()
    if _NO_UNIT.search(text):
        return None
    for inside in _BRACKET.findall(text):
        found = _read(inside, text, short=True)
        if found is not None:
            return found
    return _read(_BRACKET.sub(" ", text), text, short=False)


def _read(part: str, whole: str, short: bool) -> Unit | None:
    pieces = _PER.split(part)
    over = _one(pieces[0], short or len(pieces) > 1)
    if over is None and (_MONEY if len(pieces) == 1 else _RATE).search(pieces[0]):
        over = "money"
    if over is None and short and len(pieces) > 1 and _RATE.search(whole):
        over = "money"
    if over is None:
        return None
    powers = {over: 1}
    for piece in pieces[1:]:
        under = _one(piece, True) or _count(piece)
        if under is None:
            return None
        if under != over:
            powers[under] = -1
    return unit(**powers)


def _count(text: str) -> str | None:
    words = set(_WORD.findall(text))
    return "pc" if words & set(_WORDS["pc"].split()) else "lot" if words & {"lot", "batch", "job", "order"} else None


def _one(text: str, short: bool) -> str | None:
    """Return the unit that a short text names, None if it names none or two."""
    words = _WORD.findall(text)
    found = {_BY_WORD[word] for word in words if word in _BY_WORD} - {"pc", "lot"}
    if not found and short and len(words) == 1:
        found = {_SHORT[words[0]]} if words[0] in _SHORT else set()
    if not found and words and words[-1] in _BY_WORD:
        found = {_BY_WORD[words[-1]]}
    if len(found) > 1 or (found & {"h", "min", "s"} and _MONEY.search(text)):
        return None
    return next(iter(found), None)


class Units:
    """The units of one workbook's cells."""

    def __init__(self, grid: Grid, labels: Labels) -> None:
        self.grid = grid
        self.labels = labels

    def said(self, cell: Address) -> Unit | None:
        """Return the unit that the labels of a cell give, None where they are silent or contradict each other."""
        label = self.labels.of(cell)
        after = read_unit(f"({label.after})") if label.after else None
        if after is not None:
            return after
        beside, above = (read_unit(text) if text else None for text in (label.beside, label.above))
        if beside is None or above is None or beside == above:
            return beside or above
        # Money and a time in two directions ("Saw minutes" beside, "Cost" above): the heading of the column counts.
        return above

    def of_tree(self, tree: s.Node, cell: Address) -> Unit | None:
        """Return the unit that a product of labelled cells comes to; None as soon as one factor is not known.

        Numbers written in the formula have no unit of their own; whether they turn one into another is not known.
        """
        if isinstance(tree, s.Reference | s.NameRef):
            use = self._single(tree, cell)
            return None if use is None else self.said(next(use.span.cells()))
        if isinstance(tree, s.Binary) and tree.operator in ("*", "/"):
            left, right = self.of_tree(tree.left, cell), self.of_tree(tree.right, cell)
            if left is None or right is None:
                return None
            return left.times(right, 1 if tree.operator == "*" else -1)
        return None

    def _single(self, node: s.Node, cell: Address) -> Use | None:
        uses = list(self.grid.uses_in(node, cell))
        return uses[0] if len(uses) == 1 and uses[0].span.size == 1 else None


def mixed(first: Unit, second: Unit) -> tuple[str, str] | None:
    """Return the two units of one measure in which two addends differ, None where they may be added."""
    for name, power in first.powers:
        measure = SAME_MEASURE.get(name)
        for other, again in second.powers:
            if measure and name != other and SAME_MEASURE.get(other) == measure and power == again:
                rest = {k: v for k, v in first.powers if k != name} == {k: v for k, v in second.powers if k != other}
                if rest:
                    return name, other
    return None


def leftover(product: Unit) -> tuple[str, str] | None:
    """Return two units of one measure that meet in a product without cancelling, such as minutes times per hour."""
    powers: Mapping[str, int] = dict(product.powers)
    for name, power in powers.items():
        for other, again in powers.items():
            same = SAME_MEASURE.get(name) == SAME_MEASURE.get(other) is not None
            if same and name != other and power > 0 > again:
                return name, other
    return None
