"""A look-up answers from another column than its own heading asks for.

What it finds
    A result under one heading that is taken from a column of another, although the table has a column of that heading.

Why it costs money
    The set-up charge is used as the hourly rate, or last year's price as this year's.

Faulty
    under "Rate": =VLOOKUP(B5,Rates!A2:D9,3,FALSE), where column 3 is "Operators" and column 2 is "Rate"

Sound
    under "Rate": =VLOOKUP(B5,Rates!A2:D9,2,FALSE)

How to mend
    Correct the column number, or look the column up by its heading.

False alarms
    Headings that share no words are not compared.

Source
    Catalogue row F27.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.lookups import Lookup, lookups
from quotebook.audit.telling import label, shape, told
from quotebook.audit.view import BookView
from quotebook.audit.written import with_part, written
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "lookup-column", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F27",)
)

_WORD = re.compile(r"[a-z]{3,}")
_EMPTY = frozenset({"per", "the", "and", "for", "name", "unit", "value"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each look-up from the wrong column."""
    facts = foreign(view)
    for lookup in lookups(facts.grid):
        if lookup.call.name == "VLOOKUP" and lookup.results is not None:
            yield from _judge(facts, lookup)


def _judge(facts: Foreign, lookup: Lookup) -> Iterator[Finding]:
    assert lookup.results is not None, "asked for such only"
    named = facts.labels.of(lookup.cell)
    wanted = _words(named.above) or _words(named.beside)
    headings = {column: _heading(facts, lookup, column) for column in range(lookup.table.left, lookup.table.right + 1)}
    own = headings.get(lookup.results.left, "")
    if not wanted or not own or wanted & _words(own):
        return
    better = [column for column, text in headings.items() if wanted & _words(text) and column > lookup.table.left]
    if len(better) != 1:
        return
    number = float(better[0] - lookup.table.left + 1)
    arguments = list(lookup.call.arguments)
    arguments[2] = s.Number(number)
    mended = written(
        with_part(facts.grid.trees[lookup.cell], lookup.call, lookup.call._replace(arguments=tuple(arguments)))
    )
    yield told(
        CHECK,
        lookup.cell,
        facts.grid.formula(lookup.cell),
        f"={mended}",
        "Correct the column number of the look-up.",
        label(f'the cell is labelled "{named.above or named.beside}", the column read is headed "{own}"'),
        shape(f'column {shown(number)} of the table is headed "{headings[better[0]]}"'),
        put_right={lookup.cell: Formula(mended)},
        alike="column",
    )


def _heading(facts: Foreign, lookup: Lookup, column: int) -> str:
    top = Address(lookup.table.sheet, lookup.table.top, column)
    if facts.labels.is_label(top) and not facts.labels.is_label(top._replace(row=top.row + 1)):
        return facts.labels.text(top)
    return facts.labels.of(top).above


def _words(text: str) -> set[str]:
    return {word.rstrip("s") for word in _WORD.findall(text.casefold())} - _EMPTY
