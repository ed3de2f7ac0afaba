"""A look-up takes the nearest key instead of the right one.

What it finds
    VLOOKUP, MATCH or LOOKUP without the exact flag among texts, or among keys that are not sorted.

Why it costs money
    The rate of another machine or the price of another material is used, and no error shows.

Faulty
    =VLOOKUP(B5,Rates!A2:B9,2)

Sound
    =VLOOKUP(B5,Rates!A2:B9,2,FALSE)

How to mend
    Ask for the exact key; keep tables of quantity steps, where the nearest is meant, sorted upward.

False alarms
    Sorted tables of numbers, such as quantity breaks, are as they should be and no alarm.

Source
    Catalogue row F25; the missing last argument is a documented property of VLOOKUP.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Evidence, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import shown
from quotebook.audit.lookups import Lookup, keys_of, lookups, plain_key
from quotebook.audit.telling import on, shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import with_part, written
from quotebook.engine import syntax as s
from quotebook.engine.book import Status
from quotebook.values import Address, Value

CHECK = Check(
    "loose-lookup", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.REASONING, rows=("F25",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each look-up by the nearest key that should be exact or sorted."""
    facts = foreign(view)
    for lookup in lookups(facts.grid):
        if lookup.exact or lookup.sought is None:
            continue
        keys = keys_of(facts.grid, lookup)
        texts = [key for _, key in keys if isinstance(key, str)]
        numbers = [key for _, key in keys if isinstance(key, float)]
        unsorted = _unsorted(keys, _direction(lookup))
        if isinstance(lookup.sought, str) and texts:
            yield _finding(view, facts, lookup, unsorted, texts=True)
        elif isinstance(lookup.sought, float) and len(numbers) > 1 and unsorted is not None:
            yield _finding(view, facts, lookup, unsorted, texts=False)


def _direction(lookup: Lookup) -> int:
    last = lookup.call.arguments[2] if lookup.call.name == "MATCH" and len(lookup.call.arguments) > 2 else None
    return -1 if last in (s.Unary("-", s.Number(1.0)), s.Number(-1.0)) else 1


def _unsorted(keys: list[tuple[Address, Value]], direction: int) -> Address | None:
    """Return the first key of a kind that is smaller than the one before it, None when all is sorted."""
    for kind in (float, str):
        before: float | str | None = None
        for cell, key in keys:
            if not isinstance(key, kind):
                continue
            now = key.casefold() if isinstance(key, str) else key
            if before is not None and (now < before if direction > 0 else now > before):  # type: ignore[operator]
                return cell
            before = now
    return None


def _finding(view: BookView, facts: Foreign, lookup: Lookup, unsorted: Address | None, texts: bool) -> Finding:
    grid, cell = facts.grid, lookup.cell
    mended = _exact(grid.trees[cell], lookup)
    evidence: list[Evidence] = [shape("the look-up takes the nearest key, not the exact one")]
    if unsorted is not None:
        evidence.append(value(f"the keys are not sorted: {on(unsorted, cell.sheet)} is {shown(grid.value(unsorted))}"))
    exact = view.what_if.results({cell: Formula(mended)}, [cell])[0]
    differs = exact.status is Status.EVALUATED and exact.value != grid.value(cell)
    wanted = [key for _, key in keys_of(grid, lookup) if plain_key(key) == plain_key(lookup.sought)]
    if differs:
        told_value = shown(exact.value) if wanted else "nothing, for the key is not in the table"
        evidence.append(value(f"it gives {shown(grid.value(cell))}; the exact key gives {told_value}"))
    grave = differs and (texts or bool(wanted))
    return told(
        CHECK,
        cell,
        grid.formula(cell),
        f"={mended}",
        "Ask for the exact key (last argument FALSE, or 0 in MATCH)." if texts else "Sort the keys upward.",
        *evidence,
        severity=CHECK.severity if grave else Severity.LOOK_AT_IT,
        put_right={cell: Formula(mended)},
        alike="loose",
    )


def _exact(tree: s.Node, lookup: Lookup) -> str:
    call, number = lookup.call, s.Number(0.0)
    if call.name in ("VLOOKUP", "HLOOKUP"):
        exact: s.Node = call._replace(arguments=(*call.arguments[:3], s.Logical(False)))
    elif call.name == "MATCH":
        exact = call._replace(arguments=(*call.arguments[:2], number))
    elif call.name == "XLOOKUP":
        exact = call._replace(arguments=call.arguments[:4])
    else:
        match = s.Call("MATCH", (*call.arguments[:2], number))
        exact = s.Call("INDEX", (call.arguments[-1], match))
    return written(with_part(tree, call, exact))
