"""The price is below the cost that stands on the sheet.

What it finds
    A price cell whose figure is lower than a cost of the same scope on its sheet, or is 0 or less.

Why it costs money
    Every piece sold loses money.

Faulty
    "Total cost" 840, "Total price" 310

Sound
    "Total cost" 840, "Total price" 1050

How to mend
    Follow the price back to the cost; a line, a markup or an operator is wrong on the way.

False alarms
    A job bid below cost on purpose should carry a note that says so.

Source
    Catalogue rows V8 and V24 by labels; trade sense.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.roles import NO_LABEL
from quotebook.audit.telling import fact, label, on, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "price-below-cost",
    Severity.DO_NOT_QUOTE,
    (Need.NO_CONTRACT, Need.PRICE),
    When.WRONG_NOW,
    Kind.REASONING,
    rows=("V8", "V24"),
)

_COST = re.compile(
    r"^(total|sub|net|job|lot|full|own|manufacturing|production)?[ -]*(costs?|cost price)( total)?:?$|total cost"
)
_EACH_COST = re.compile(r"cost ?(per|/|a) ?(piece|part|unit|pc|each|ea)\b|cost each|unit cost|piece cost")
_EACH = re.compile(r"each|(per|/) ?(piece|part|pc|unit|\d+)|unit|piece")
#: A cost may exceed its price by a rounding.
_TOLERANCE = 1.005


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for the first price that is below its cost or not above 0."""
    facts = foreign(view)
    costs = _costs(facts)
    for price in view.price_cells:
        number = facts.grid.number(price.address)
        if number is None or price.what == NO_LABEL:
            continue
        if number <= 0:
            yield _told(view, price.address, number, "a price above 0", [fact("a price of 0 or less")])
            return
        cost = _above(facts, price.address, number, costs)
        if cost is not None:
            over = shown(facts.grid.value(cost))
            evidence = [
                label(f'{on(cost, price.address.sheet)} is labelled "{facts.labels.of(cost)}"'),
                value(f"it comes to {over}, the price to {shown(number)}"),
            ]
            yield _told(view, price.address, number, f"a price above {over}", evidence)
            return


def _told(view: BookView, cell: Address, number: float, expected: str, evidence: list[Evidence]) -> Finding:
    mend = "Follow the price back to the cost; a line, a markup or an operator is wrong on the way."
    causes = view.links.ancestors([cell])
    return told(CHECK, cell, shown(number), expected, mend, *evidence, explained_by=causes)


def _above(facts: Foreign, price: Address, number: float, costs: dict[Address, str]) -> Address | None:
    """Return a cost that the price rests on and that is larger than it."""
    upstream = facts.grid.upstream([price])
    for cost, words in costs.items():
        over = facts.grid.number(cost)
        if over is None or over <= number * _TOLERANCE or cost.sheet != price.sheet or cost not in upstream:
            continue
        if _same_scope(facts, price, words) and _same_line(facts, costs, cost, price):
            return cost
    return None


def _costs(facts: Foreign) -> dict[Address, str]:
    found: dict[Address, str] = {}
    for cell in sorted(facts.grid.trees):
        for text in (facts.labels.of(cell).beside, facts.labels.of(cell).above):
            words = text.casefold()
            if _COST.search(words) or _EACH_COST.search(words):
                found[cell] = words
                break
    return found


def _same_scope(facts: Foreign, price: Address, words: str) -> bool:
    """A cost of one piece is held against a price of one piece, a total against a total."""
    named = facts.labels.of(price)
    text = named.beside or named.above
    return bool(_EACH.search(text.casefold())) == bool(_EACH_COST.search(words))


def _same_line(facts: Foreign, costs: dict[Address, str], cost: Address, price: Address) -> bool:
    """In a table of price breaks each price is held against the cost in its own column (or row)."""
    if cost.row == price.row:
        return True
    if cost.column == price.column:
        return facts.labels.of(cost).beside != facts.labels.of(price).beside
    return sum(facts.labels.of(other).beside == facts.labels.of(cost).beside for other in costs) == 1
