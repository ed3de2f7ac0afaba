"""A number is stored as text.

What it finds
    Texts that read as numbers, with decimal point or comma, where formulas or columns of figures need numbers.

Why it costs money
    Sums skip text without a word; comparisons and look-ups miss it.

Faulty
    E7 holds the text "125", the total is =SUM(E5:E9)

Sound
    E7 holds the number 125

How to mend
    Set the cell's format to a number and type the figure again.

False alarms
    Part numbers, drawing revisions, post codes: left alone where the label says so or a zero leads, unless a formula
    calculates with them.

Source
    Catalogue rows F12 and F13; spreadsheet programs' own rule "number stored as text" is the floor.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Grid, a1, shown
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import parts
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "number-as-text",
    Severity.PROBABLY_WRONG,
    (Need.NO_CONTRACT,),
    When.WRONG_NOW,
    Kind.HAND_SLIP,
    rows=("F12", "F13", "S19"),
)

_NUMBER = re.compile(
    r"(?P<sign>[-+]?)[$€£]?\s*(?P<digits>\d{1,3}(?:[ ',.\u00a0]\d{3})+(?:[.,]\d+)?|\d+(?:[.,]\d*)?|[.,]\d+)"
)
_TAIL = re.compile(r"\s*(?P<percent>%?)\s*(?P<unit>h|hr|hrs|hours?|min|mm|in|kg|lbs?|pcs?|€|\$)?\.?")
_TAKING = frozenset({"MAX", "MIN", "SUM", "AVERAGE", "PRODUCT", "CEILING", "FLOOR"})
_IDENTITY = re.compile(
    r"\b(part|no|nr|num(ber)?|drawing|dwg|rev(ision)?|code|phone|tel|fax|zip|date|order|ref(erence)?|po|job|id|item|pos"
    r"|customer|quote|serial|version|op)\b|#"
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each text that should be a number."""
    facts = foreign(view)
    for cell, text in view.book.inputs.items():
        if not isinstance(text, str):
            continue
        number = read_number(text)
        if number is not None:
            evidence = _needed(facts, cell, text)
            if evidence:
                yield _finding(facts, cell, text, number, evidence)


def read_number(text: str) -> float | None:
    """Return the number that a text spells, by either decimal sign, perhaps with a percent sign or a unit behind."""
    match = _NUMBER.match(text.strip())
    if match is None:
        return None
    tail = _TAIL.fullmatch(text.strip(), match.end())
    if tail is None:
        return None
    digits = re.sub(r"[ '\u00a0]", "", match["digits"])
    comma, point = digits.rfind(","), digits.rfind(".")
    if comma >= 0 and point >= 0:
        mark = "," if comma > point else "."
    else:
        one = "," if comma >= 0 else "."
        # 1,250,000 has thousands; 1,250 alone may be either and is read as a decimal, as typed by hand.
        mark = "" if digits.count(one) > 1 else one
    plain = "".join("." if sign == mark else sign for sign in digits if sign.isdigit() or sign == mark)
    number = float(f"{match['sign']}{plain}")
    return number / 100 if tail["percent"] else number


def _needed(facts: Foreign, cell: Address, text: str) -> list[Evidence]:
    grid, named = facts.grid, facts.labels.of(cell)
    reads = value(f'the text "{text.strip()}" spells a number')
    for user in sorted(grid.users.get(cell, ())):
        if _calculates(grid, user, cell):
            return [reads, shape(f"{a1(user)} calculates with it: {grid.formula(user)}")]
        spans = [use.span for use in grid.uses[user] if use.span.holds(cell) and use.span.size > 1]
        others = [each for span in spans for each in grid.filled(span) if each != cell]
        if _adds_up(grid, user) and others and all(grid.number(each) is not None for each in others):
            return [reads, shape(f"{a1(user)} adds up {spans[0]}, in which all others are numbers")]
    identity = _IDENTITY.search(named.words) or re.match(r"0\d", text.strip())
    if identity:
        return []
    beside = [cell._replace(row=cell.row + step) for step in (-2, -1, 1, 2) if cell.row + step > 0]
    numbers = [each for each in beside if grid.number(each) is not None]
    if len(numbers) >= 2 and named.above:
        return [label(f'a column of numbers under "{named.above}"'), reads]
    return []


def _calculates(grid: Grid, user: Address, cell: Address) -> bool:
    """Tell whether a formula multiplies, adds or compares the cell itself."""
    for part in parts(grid.trees[user]):
        if not isinstance(part.node, s.Reference | s.NameRef) or not part.around:
            continue
        uses = list(grid.uses_in(part.node, user))
        if len(uses) != 1 or uses[0].span.size != 1 or not uses[0].span.holds(cell):
            continue
        over = part.around[-1]
        arithmetic = isinstance(over, s.Binary) and over.operator in "*/+-^"
        arithmetic |= isinstance(over, s.Chain) and set(over.operators) <= set("+-")
        function = over.name if isinstance(over, s.Call) else ""
        if arithmetic or isinstance(over, s.Unary) or function in _TAKING or function.startswith("ROUND"):
            return True
    return False


def _adds_up(grid: Grid, user: Address) -> bool:
    names = {part.node.name for part in parts(grid.trees[user]) if isinstance(part.node, s.Call)}
    return bool(names & {"SUM", "SUMPRODUCT", "SUBTOTAL", "AVERAGE", "MAX", "MIN", "SUMIF", "SUMIFS", "COUNT"})


def _finding(facts: Foreign, cell: Address, text: str, number: float, evidence: list[Evidence]) -> Finding:
    used = bool(facts.grid.users.get(cell))
    return told(
        CHECK,
        cell,
        f'the text "{text}"',
        f"the number {shown(number)}",
        "Set the cell's format to a number and type the figure again.",
        *evidence,
        severity=CHECK.severity if used else Severity.LOOK_AT_IT,
        put_right={cell: number},
        if_harmless=Severity.LOOK_AT_IT,
    )
