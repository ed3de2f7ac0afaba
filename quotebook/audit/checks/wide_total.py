"""A total of one column takes in the column beside it as well.

What it finds
    A sum that stands under one column (or behind one row) and whose range is two or more wide, where the figures of the
    other line are what its own are worked out from: hours beside amounts, or a share beside them.

Why it costs money
    Hours, pieces or rates are added to money. The total looks plausible when they are small beside it.

Faulty
    D5:D8 are =B5*C5 to =B8*C8, the total is =SUM(C5:D8)

Sound
    the total is =SUM(D5:D8)

How to mend
    Let the range cover the line that the total stands under, and no other.

False alarms
    A sum over a whole table of like costs. It is told apart by the formulas, which do not read each other's lines, and
    by headings and number formats, which are alike.

Source
    Catalogue rows F6 and F7; a range that was drawn too far is an operator of published fault seeding (CRE).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Span, a1, shown, walk
from quotebook.audit.roles import Role, role_of_text
from quotebook.audit.telling import label, shape, told, value
from quotebook.audit.totals import with_range
from quotebook.audit.view import BookView
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "wide-total", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F6", "F7")
)
#: A block wider than this is a table that is summed as a whole.
_WIDEST = 3
_LONGEST = 500
_NO_MONEY = frozenset({
    Role.QUANTITY, Role.RATE, Role.TIME, Role.SETUP, Role.SHARE, Role.MARKUP, Role.MARGIN, Role.SCRAP, Role.WEIGHT,
    Role.SIZE,
})  # fmt: skip


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each sum with a foreign line."""
    facts = foreign(view)
    for cell, span in _wide(facts):
        own = _own(cell, span)
        if own is None:
            continue
        strange = [(line, why) for line in _lines(span, own) if (why := _strange(facts, own, line))]
        if strange and len(strange) == len(_lines(span, own)):
            yield _finding(facts, cell, span, own, strange)


def _wide(facts: Foreign) -> Iterator[tuple[Address, Span]]:
    """Yield each sum with a range of several rows and several columns."""
    for cell, tree in facts.grid.trees.items():
        for node in walk(tree):
            if not isinstance(node, s.Call) or node.name not in ("SUM", "SUBTOTAL"):
                continue
            for argument in node.arguments:
                if isinstance(argument, s.Reference | s.NameRef):
                    spans = (use.span for use in facts.grid.uses_in(argument, cell))
                    yield from ((cell, span) for span in spans if _is_block(span))


def _is_block(span: Span) -> bool:
    rows, columns = span.bottom - span.top + 1, span.right - span.left + 1
    return min(rows, columns) > 1 and min(rows, columns) <= _WIDEST and rows * columns <= _LONGEST


def _own(cell: Address, span: Span) -> Span | None:
    """Return the line of the block that the total stands under or behind; None if it stands elsewhere."""
    if cell.sheet != span.sheet or span.holds(cell):
        return None
    if span.left <= cell.column <= span.right:
        return span._replace(left=cell.column, right=cell.column)
    if span.top <= cell.row <= span.bottom:
        return span._replace(top=cell.row, bottom=cell.row)
    return None


def _lines(span: Span, own: Span) -> list[Span]:
    """Return the other lines of the block."""
    if own.left == own.right:
        return [own._replace(left=n, right=n) for n in range(span.left, span.right + 1) if n != own.left]
    return [own._replace(top=n, bottom=n) for n in range(span.top, span.bottom + 1) if n != own.top]


def _strange(facts: Foreign, own: Span, line: Span) -> list[Evidence]:
    """Return two or more reasons why a line is not of one kind with the total's own, nothing for fewer."""
    grid = facts.grid
    pairs = [(a, b) for a, b in zip(own.cells(), line.cells(), strict=True) if grid.number(b) is not None]
    if not pairs or not any(grid.number(b) for _, b in pairs):
        return []
    found: list[Evidence] = []
    fed = [(a, b) for a, b in pairs if _reads(facts, a, b) or _reads(facts, b, a)]
    if len(fed) * 2 > len(pairs):
        reader, read = fed[0] if _reads(facts, *fed[0]) else fed[0][::-1]
        found.append(shape(f"{a1(reader)} is {grid.formula(reader)}, worked out from {a1(read)}"))
        found.append(value(f"{a1(read)} = {shown(grid.value(read))} is in both"))
    looks, own_looks = _looks(facts, line), _looks(facts, own)
    if looks and own_looks and not looks & own_looks:
        found.append(shape(f"{line} has the number format {min(looks)}, {own} has {min(own_looks)}"))
    text, own_text = _heading(facts, line), _heading(facts, own)
    role = role_of_text(text) if text else None
    if role in _NO_MONEY and own_text and role_of_text(own_text) is not role:
        found.append(label(f'{line} is headed "{text}", {own} "{own_text}"'))
    return found if len({each.proof for each in found}) >= 2 else []


def _reads(facts: Foreign, reader: Address, cell: Address) -> bool:
    return any(use.span.size == 1 and use.span.holds(cell) for use in facts.grid.uses.get(reader, ()))


def _looks(facts: Foreign, line: Span) -> set[str]:
    return {facts.grid.style(cell).number_format for cell in line.cells() if facts.grid.number(cell) is not None}


def _heading(facts: Foreign, line: Span) -> str:
    found = facts.labels.of(next(iter(line.cells())))
    return found.above if line.left == line.right else found.beside


def _finding(
    facts: Foreign, cell: Address, span: Span, own: Span, strange: list[tuple[Span, list[Evidence]]]
) -> Finding:
    formula = facts.grid.book.formulas[cell].removeprefix("=")
    mended = with_range(formula, span, own)
    return told(
        CHECK,
        cell,
        f"={formula}, which counts {', '.join(str(line) for line, _ in strange)} as well",
        f"={mended}" if mended != formula else f"a sum of {own}",
        "Let the range cover the line that the total stands under, and no other.",
        *[each for _, why in strange for each in why][:4],
        put_right={cell: Formula(mended)} if mended != formula else None,
    )
