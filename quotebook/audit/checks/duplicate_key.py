"""A table that is searched holds the same key twice, or a key with stray blanks.

What it finds
    Keys of an exact look-up that are equal but for capitals and blanks.

Why it costs money
    The first row wins; the newer price in the second row is never used. A key with a blank behind it is never found.

Faulty
    Rates: "Lathe" 70, "Mill" 82, "Lathe" 78

Sound
    each machine once

How to mend
    Delete the row that no longer holds; take stray blanks away.

False alarms
    Lists of purchases, where several rows with one key are meant; these are not searched by look-ups as a rule.

Source
    Catalogue row F26.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1, shown
from quotebook.audit.lookups import Lookup, keys_of, lookups, plain_key
from quotebook.audit.telling import on, shape, told, value
from quotebook.audit.view import BookView
from quotebook.values import Address, Value

CHECK = Check(
    "duplicate-key", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.HAND_SLIP, rows=("F26",)
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each key that stands twice, and for each key that is missed for a blank."""
    facts = foreign(view)
    by_keys: dict[object, list[Lookup]] = {}
    for lookup in lookups(facts.grid):
        by_keys.setdefault(lookup.keys, []).append(lookup)
    for group in by_keys.values():
        if group[0].exact or isinstance(group[0].sought, str):
            yield from _doubles(facts, group)
            yield from _missed(facts, group)


def _doubles(facts: Foreign, group: list[Lookup]) -> Iterator[Finding]:
    first: dict[Value, Address] = {}
    for cell, key in keys_of(facts.grid, group[0]):
        plain = plain_key(key)
        if plain in ("", None) or isinstance(plain, bool):
            continue
        if plain not in first:
            first[plain] = cell
            continue
        seeking = [lookup for lookup in group if plain_key(lookup.sought) == plain]
        answers = [_answer(facts, group[0], each) for each in (first[plain], cell)]
        if answers[0] == answers[1]:
            continue
        yield told(
            CHECK,
            cell,
            f"{shown(key)}, which stands in {a1(first[plain])} already",
            "each key once",
            "Delete the row that no longer holds.",
            shape(f"the look-up in {on(group[0].cell, cell.sheet)} takes the first of them"),
            value(f"the rows answer {shown(answers[0])} and {shown(answers[1])}"),
            severity=CHECK.severity if seeking else Severity.LOOK_AT_IT,
            put_right={_place(group[0], first[plain]): answers[1]} if seeking and group[0].results else None,
        )


def _place(lookup: Lookup, key: Address) -> Address:
    assert lookup.results is not None, "asked only where it is known"
    if lookup.down:
        return Address(lookup.results.sheet, key.row - lookup.keys.top + lookup.results.top, lookup.results.left)
    return Address(lookup.results.sheet, lookup.results.top, key.column - lookup.keys.left + lookup.results.left)


def _answer(facts: Foreign, lookup: Lookup, key: Address) -> Value:
    return None if lookup.results is None else facts.grid.value(_place(lookup, key))


def _missed(facts: Foreign, group: list[Lookup]) -> Iterator[Finding]:
    keys = keys_of(facts.grid, group[0])
    exact = {key.casefold() for _, key in keys if isinstance(key, str)}
    plain = {plain_key(key): cell for cell, key in keys if isinstance(key, str)}
    for lookup in group:
        sought = lookup.sought
        if not isinstance(sought, str) or not sought or sought.casefold() in exact or not lookup.exact:
            continue
        near = plain.get(plain_key(sought))
        if near is not None:
            yield told(
                CHECK,
                near,
                shown(facts.grid.value(near)),
                shown(sought),
                "Take the stray blanks away in the key and in the table.",
                value(f"{on(lookup.cell, near.sheet)} looks for {shown(sought)} and does not find it"),
                shape("the two differ by blanks only"),
                explained_by=[],
            )
