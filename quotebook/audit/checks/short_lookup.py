"""A look-up does not reach the last rows of its table.

What it finds
    Rows filled in right below the range that a look-up searches.

Why it costs money
    A new machine or material is not found, or the nearest old one is taken for it.

Faulty
    =VLOOKUP(B5,Rates!A2:B9,2,FALSE), with a machine in Rates!A10

Sound
    =VLOOKUP(B5,Rates!A2:B10,2,FALSE)

How to mend
    Stretch the range over the whole table.

False alarms
    Notes under a table; a row counts only if its key and its answer are of the kind of those above.

Source
    Catalogue row F28.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.lookups import Lookup, lookups, plain_key
from quotebook.audit.telling import shape, told, value
from quotebook.audit.totals import with_range
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "short-lookup", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WILL_GO_WRONG, Kind.POINTING, rows=("F28",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each look-up whose table goes on below its range."""
    facts = foreign(view)
    for lookup in lookups(facts.grid):
        if lookup.down and lookup.results is not None and lookup.keys.size > 1:
            beyond = _beyond(facts, lookup)
            if beyond:
                yield _finding(facts, lookup, beyond)


def _beyond(facts: Foreign, lookup: Lookup) -> list[Address]:
    grid, results = facts.grid, lookup.results
    assert results is not None, "asked for such only"
    last = Address(lookup.keys.sheet, lookup.keys.bottom, lookup.keys.left)
    answer = Address(results.sheet, results.bottom, results.left)
    found: list[Address] = []
    for step in range(1, 50):
        key, result = last._replace(row=last.row + step), answer._replace(row=answer.row + step)
        same_kind = type(grid.value(key)) is type(grid.value(last)) and grid.value(key) not in (None, "")
        if not same_kind or grid.number(result) is None or grid.number(answer) is None:
            break
        found.append(key)
    return found


def _finding(facts: Foreign, lookup: Lookup, beyond: list[Address]) -> Finding:
    grid = facts.grid
    keys = [plain_key(grid.value(cell)) for cell in beyond]
    missed = plain_key(lookup.sought) in keys
    formula = grid.book.formulas[lookup.cell]
    mended = with_range(formula, lookup.table, lookup.table._replace(bottom=beyond[-1].row))
    reason = (
        f"{len(beyond)} more row(s) stand right below the range, the first with the key {shown(grid.value(beyond[0]))}"
    )
    return told(
        CHECK,
        lookup.cell,
        grid.formula(lookup.cell),
        f"={mended}",
        "Stretch the range over the whole table.",
        shape(reason),
        *([value("the key that is looked for is among them")] if missed else []),
        severity=CHECK.severity if missed else Severity.LOOK_AT_IT,
        put_right={lookup.cell: Formula(mended)} if mended != formula.removeprefix("=") else None,
        alike="short",
    )
