"""What a cell is for, guessed from its labels and its place in the graph, where no contract tells it."""

from __future__ import annotations

import re
from enum import Enum
from functools import cached_property

from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.price_cells import PriceCell
from quotebook.audit.view import BookView
from quotebook.values import Address


class Role(Enum):
    """What a figure stands for. ``COST`` is money that makes the price, whatever for."""

    QUANTITY = "quantity"
    RATE = "rate"
    TIME = "time"
    SETUP = "setup time"
    MARKUP = "markup"
    MARGIN = "margin"
    DISCOUNT = "discount"
    SCRAP = "scrap or yield"
    SHARE = "share"
    WEIGHT = "weight"
    SIZE = "size"
    PRICE = "price"
    COST = "cost"


_TIMES = re.compile(
    r"\b(h|hr|hrs|hours?|min|mins|minutes?|time|cycle|sec|seconds?)\b(?!\s*(rate|charge|order|qty|price))"
)
_PATTERNS: tuple[tuple[Role, re.Pattern[str]], ...] = (
    (Role.DISCOUNT, re.compile(r"discount|rebate|credit")),
    (Role.SCRAP, re.compile(r"scrap|yield|efficiency|utili[sz]ation|rework")),
    (Role.MARGIN, re.compile(r"margin")),
    (Role.MARKUP, re.compile(r"mark[- ]?up|profit|overhead|handling|on ?cost|\bg ?& ?a\b|burden")),
    (Role.SHARE, re.compile(r"percent|%|\btax\b|\bvat\b|duty|commission")),
    (Role.RATE, re.compile(r"(/|per )\s*(h\b|hr|hour|min)|\brates?\b|\bwage")),
    (Role.SETUP, re.compile(r"set[- ]?up|make ?ready")),
    (Role.TIME, _TIMES),
    (Role.QUANTITY, re.compile(r"\b(qty|quantity|lot size|batch|pieces|pcs|no\.? of (parts|pieces)|order size|lot)\b")),
    (Role.WEIGHT, re.compile(r"weight|\bkg\b|\blbs?\b|\bmass\b")),
    (Role.SIZE, re.compile(r"\b(length|width|height|thickness|dia(meter)?|ø|od|id|wall)\b")),
    (Role.PRICE, re.compile(r"price|quote|offer|to pay|\beach\b")),
    (Role.COST, re.compile(r"cost|amount|charge|total|freight|material|plating|heat treat|anodi|paint|labou?r")),
)
#: Roles of figures that are shares of something, 0.15 for 15%.
SHARES = frozenset({Role.DISCOUNT, Role.SCRAP, Role.MARGIN, Role.MARKUP, Role.SHARE})
#: Speeds and outputs have an hour or a minute below the line and are no rates of money.
_NO_RATE = re.compile(r"feed|speed|\brpm\b|(pieces|parts|pcs|units|mm|in|m)\.?\s*(/|per\b)\s*(h|min)")
_PERCENT_FORMAT = re.compile(r"%")

#: Labels of prices, the surest first. A label that a later pattern of ``_NO_PRICE`` hits is none.
_TOTAL_PRICE = re.compile(
    r"^(the )?price:?$"
    r"|(total|lot|order|selling|quot\w*|offer\w*|net|final|extended|job)\s*(net\s*)?price|price\s*(total|for lot)"
    r"|quot\w* (total|amount)|grand total|extended|to pay|amount due|line total|total quote|total \(?excl"
)
_EACH_PRICE = re.compile(r"(unit|piece|part|each)\s*price|price\s*(each|per|/|ea\b|pc)|\beach\b|per part")
_ANY_PRICE = re.compile(r"\bprice\b|\bquote\b|\boffer\b")
_NO_PRICE = re.compile(
    r"per (kg|lb|kilo|pound|m\b|hour|h\b)|/kg|/lb|material|stock|supplier|bar price|list price|cost price"
    r"|before|discount|\btax\b|\bvat\b|freight|sub ?total"
)
#: Lines of a calculation; a heading above that speaks of a price, or a mention of one beside, makes none of them.
_LINE = re.compile(r"profit|margin|mark[- ]?up|overhead|contingency|handling|\bcosts?\b|labou?r\b")
#: A price must rest on at least this share of the figures that the best connected candidate rests on.
LEAST_SHARE = 0.4
#: How a price cell is called that was found by the graph alone.
NO_LABEL = "the end of the calculation"
MOST_PRICES = 12
#: Where every formula is read by another one, so many are tried; and so many cells are walked in all.
MOST_IN_A_LOOP = 20
MOST_WALKED = 300_000


class Roles:
    """Guesses for one workbook."""

    def __init__(self, facts: Foreign) -> None:
        self.facts = facts
        self.grid = facts.grid

    def of(self, cell: Address) -> Role | None:
        """Return what a cell seems to be for, None where labels and format say nothing."""
        label = self.facts.labels.of(cell)
        percent = bool(_PERCENT_FORMAT.search(self.grid.style(cell).number_format))
        texts = [text for text in (label.above, label.beside) if text]
        said = [role for role in map(role_of_text, texts) if role is not None]
        if percent:
            return next((role for role in reversed(said) if role in SHARES), Role.SHARE)
        # "Amount" over a column says less than "Markup" beside the cell.
        telling = [role for role in said if role not in (Role.COST, Role.PRICE)]
        return (telling or said or [None])[0]

    @cached_property
    def price_cells(self) -> tuple[PriceCell, ...]:
        """Return the cells that seem to say the price, totals before prices of one piece."""
        ranks = {cell: self._price_rank(cell) for cell in self._candidates}
        # The longest ancestry is that of a cell that nobody reads, or of a loop.
        asked = [cell for cell, rank in ranks.items() if rank is not None or not self.grid.users.get(cell)]
        sizes = self._sizes(asked or list(ranks)[:MOST_IN_A_LOOP])
        if not sizes:
            return ()
        most = max(sizes.values())
        ranked: list[tuple[int, int, Address]] = []
        for cell, size in sizes.items():
            rank = ranks[cell]
            if rank is not None and size >= max(3, LEAST_SHARE * most):
                ranked.append((rank, -size, cell))
        if not ranked:
            ends = [cell for cell in sizes if not self.grid.users.get(cell)] or list(sizes)
            best = max(ends, key=lambda cell: (sizes[cell], cell))
            return (PriceCell(best, NO_LABEL),)
        kept = self._like_first(sorted(ranked))
        return tuple(PriceCell(cell, self._what(cell)) for cell in kept[:MOST_PRICES])

    def _sizes(self, cells: list[Address]) -> dict[Address, int]:
        """Return how many cells each rests on; a cell comes to 0 once more was walked than is worth it."""
        sizes: dict[Address, int] = {}
        walked = 0
        for cell in cells:
            sizes[cell] = len(self.grid.upstream([cell])) if walked < MOST_WALKED else 0
            walked += sizes[cell]
        return sizes

    @property
    def _candidates(self) -> list[Address]:
        # An error or a loop in the price must not make another cell the price.
        return [cell for cell in self.grid.trees if not isinstance(self.grid.value(cell), str | bool)]

    def _price_rank(self, cell: Address) -> int | None:
        label = self.facts.labels.of(cell)
        used = bool(self.grid.users.get(cell))
        for text, worse in ((label.beside, 0), (label.above, 1)):
            words = text.casefold()
            if _NO_PRICE.search(words):
                return None
            if not words:
                continue
            surely = _TOTAL_PRICE.search(words) or _EACH_PRICE.search(words)
            if _LINE.search(words) and not surely:
                return None
            for rank, pattern in enumerate((_TOTAL_PRICE, _EACH_PRICE, _ANY_PRICE)):
                if pattern.search(words):
                    return rank * 4 + worse + 2 * used
        return None

    def _like_first(self, ranked: list[tuple[int, int, Address]]) -> list[Address]:
        """Keep the best and its run (other price breaks), then the other kinds."""
        cells = [cell for _, _, cell in ranked]
        return [cell for cell in cells if cell.sheet == cells[0].sheet] + [
            cell for cell in cells if cell.sheet != cells[0].sheet
        ]

    def _what(self, cell: Address) -> str:
        return str(self.facts.labels.of(cell)) or "the price"


def role_of_text(text: str) -> Role | None:
    """Return what a label speaks of."""
    words = text.casefold()
    for role, pattern in _PATTERNS:
        if role is Role.RATE and _NO_RATE.search(words):
            continue
        if pattern.search(words):
            return role
    return None


def roles_of(view: BookView) -> Roles:
    """Return the guesses for a workbook, made once."""
    return view.shared(_roles)


def _roles(view: BookView) -> Roles:
    return Roles(foreign(view))


def guessed_price_cells(view: BookView) -> tuple[PriceCell, ...]:
    """Return the cells that seem to say the price, the first being the one that effects are told of."""
    return roles_of(view).price_cells
