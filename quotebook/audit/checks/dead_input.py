"""An input that nothing reads.

What it finds
    Typed figures with the label of a cost, a rate, a time, a quantity or a markup that no formula uses.

Why it costs money
    The estimator fills it in and believes it is in the price.

Faulty
    "Plating" 120, and the total is =labour+material

Sound
    =labour+material+plating

How to mend
    Bring it into the total, or take it off the sheet.

False alarms
    Figures that are there for information. Only figures whose neighbours of the same kind are used are told strongly.

Source
    Catalogue row F37.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.roles import Role, roles_of
from quotebook.audit.telling import fact, label, shape, told
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "dead-input", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.LEFT_OUT, rows=("F37", "F9")
)

_PRICED = frozenset(
    {Role.RATE, Role.TIME, Role.SETUP, Role.COST, Role.MARKUP, Role.MARGIN, Role.DISCOUNT, Role.SCRAP, Role.QUANTITY}
)
_MEMO = re.compile(
    r"memo|last|previous|\bold\b|target|budget|note|for info|\bref|lead time|delivery|days|weeks|valid|no\."
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each priced input that no formula reads."""
    facts, roles = foreign(view), roles_of(view)
    sheets = {cell.sheet for cell in view.price_path}
    for cell, number in view.book.inputs.items():
        if not isinstance(number, float) or not number or facts.grid.users.get(cell) or cell.sheet not in sheets:
            continue
        named = facts.labels.of(cell)
        if roles.of(cell) not in _PRICED or _MEMO.search(named.words) or facts.grid.style(cell).is_date:
            continue
        like = _used_neighbour(facts, cell)
        if like is None and not _alone_on_line(facts, cell):
            continue
        evidence = [
            fact("no formula reads it") if like is None else shape(f"no formula reads it, but {a1(like)} is read")
        ]
        yield told(
            CHECK,
            cell,
            f"{shown(number)}, read by nothing",
            "a figure that the price depends on, or none",
            "Bring it into the formula that it belongs to, or take it off the sheet.",
            *evidence,
            label(f'labelled "{named}"'),
            severity=CHECK.severity if like is not None else Severity.LOOK_AT_IT,
            explained_by=_readers(facts, cell),
        )


def _used_neighbour(facts: Foreign, cell: Address) -> Address | None:
    """Return a figure right above and below it, of the same look, that is read: then this one was forgotten.

    Both must be read, for the edge of a block is often for information.
    """
    look = facts.grid.style(cell).number_format
    for down in (True, False):
        sides = []
        for step in (-1, 1):
            place = cell._replace(row=cell.row + step) if down else cell._replace(column=cell.column + step)
            if min(place.row, place.column) > 0 and facts.grid.is_constant_number(place):
                sides.append(place)
        read = [each for each in sides if facts.grid.users.get(each)]
        if len(read) == 2 and all(facts.grid.style(each).number_format == look for each in read):
            return read[0]
    return None


def _readers(facts: Foreign, cell: Address) -> set[Address]:
    """Return where the readers of the figures beside it would stand for this one: a finding there explains this one."""
    found: set[Address] = set()
    for rows, columns in ((-1, 0), (1, 0), (0, -1), (0, 1)):
        beside = cell._replace(row=cell.row + rows, column=cell.column + columns)
        for reader in facts.grid.users.get(beside, ()):
            found.add(reader._replace(row=max(1, reader.row - rows), column=max(1, reader.column - columns)))
            found.add(reader)
    return found


def _alone_on_line(facts: Foreign, cell: Address) -> bool:
    """Tell whether the cell is a labelled input, the only figure on its line."""
    figures = [
        c for c in facts.grid.rows[cell.sheet][cell.row] if facts.grid.number(cell._replace(column=c)) is not None
    ]
    return len(figures) == 1 and bool(facts.labels.of(cell).beside)
