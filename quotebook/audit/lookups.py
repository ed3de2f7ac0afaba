"""Look-ups in formulas: what is sought, among which keys, exactly or roughly, and what is given back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from quotebook.audit.grid import Grid, Span, walk
from quotebook.engine import syntax as s
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, Value


class Lookup(NamedTuple):
    """One look-up. ``keys``: one column or row; ``results``: the column or row answered from, None for MATCH.

    ``exact`` False: the nearest key below (or above) is taken. ``sought`` is None where the key is not a plain cell or
    constant. ``table`` is the range as written.
    """

    cell: Address
    call: s.Call
    sought: Value
    sought_cell: Address | None
    table: Span
    keys: Span
    results: Span | None
    exact: bool
    down: bool


def lookups(grid: Grid) -> Iterator[Lookup]:
    """Yield the look-ups of all formulas whose ranges can be told."""
    for cell, tree in grid.trees.items():
        for node in walk(tree):
            if isinstance(node, s.Call) and len(node.arguments) >= 2:
                found = _lookup(grid, cell, node)
                if found is not None:
                    yield found


def _lookup(grid: Grid, cell: Address, call: s.Call) -> Lookup | None:
    if call.name in ("VLOOKUP", "HLOOKUP") and len(call.arguments) >= 3:
        return _table_lookup(grid, cell, call)
    if call.name == "MATCH":
        keys = _span(grid, call.arguments[1], cell)
        kind = _constant(grid, call.arguments[2], cell) if len(call.arguments) > 2 else 1.0
        if keys is None or min(keys.bottom - keys.top, keys.right - keys.left) > 0:
            return None
        return _made(grid, cell, call, keys, keys, None, exact=kind in (0.0, False, None))
    if call.name in ("LOOKUP", "XLOOKUP"):
        keys = _span(grid, call.arguments[1], cell)
        if keys is None or min(keys.bottom - keys.top, keys.right - keys.left) > 0:
            return None
        results = _span(grid, call.arguments[2], cell) if len(call.arguments) > 2 else None
        mode = _constant(grid, call.arguments[4], cell) if len(call.arguments) > 4 else 0.0
        return _made(grid, cell, call, keys, keys, results, exact=call.name == "XLOOKUP" and mode in (0.0, None))
    return None


def _table_lookup(grid: Grid, cell: Address, call: s.Call) -> Lookup | None:
    table = _span(grid, call.arguments[1], cell)
    number = _constant(grid, call.arguments[2], cell)
    if table is None:
        return None
    down = call.name == "VLOOKUP"
    keys = table._replace(right=table.left) if down else table._replace(bottom=table.top)
    results: Span | None = None
    if isinstance(number, float) and number >= 1:
        at = (table.left if down else table.top) + int(number) - 1
        results = table._replace(left=at, right=at) if down else table._replace(top=at, bottom=at)
    mode = _constant(grid, call.arguments[3], cell) if len(call.arguments) > 3 else True
    exact = len(call.arguments) > 3 and mode in (0.0, False, None)
    return _made(grid, cell, call, table, keys, results, exact=exact)


def _made(
    grid: Grid, cell: Address, call: s.Call, table: Span, keys: Span, results: Span | None, *, exact: bool
) -> Lookup:
    sought_cell = _cell(grid, call.arguments[0], cell)
    sought = grid.value(sought_cell) if sought_cell is not None else _constant(grid, call.arguments[0], cell)
    return Lookup(cell, call, sought, sought_cell, table, keys, results, exact, keys.left == keys.right)


def _span(grid: Grid, node: s.Node, cell: Address) -> Span | None:
    if not isinstance(node, s.Reference | s.NameRef | s.TableRef):
        return None
    uses = list(grid.uses_in(node, cell))
    return uses[0].span if len(uses) == 1 else None


def _cell(grid: Grid, node: s.Node, cell: Address) -> Address | None:
    span = _span(grid, node, cell)
    return next(span.cells()) if span is not None and span.size == 1 else None


def _constant(grid: Grid, node: s.Node, cell: Address) -> Value:
    if isinstance(node, s.Number | s.Text | s.Logical):
        return node.value
    if isinstance(node, s.Missing):
        return 0.0
    place = _cell(grid, node, cell)
    return grid.value(place) if place is not None else _named(grid, node, cell)


def _named(grid: Grid, node: s.Node, cell: Address) -> Value:
    if isinstance(node, s.NameRef):
        try:
            meaning = grid.scope.name(node, cell)[1]
        except FormulaTrouble:
            return None
        if isinstance(meaning, s.Number | s.Text | s.Logical):
            return meaning.value
    return None


def keys_of(grid: Grid, lookup: Lookup) -> list[tuple[Address, Value]]:
    """Return the keys that hold something, in order."""
    return [(cell, grid.value(cell)) for cell in grid.filled(lookup.keys)]


def plain_key(value: Value) -> Value:
    """Return a key as people compare it: text without outer or doubled blanks, capitals ignored."""
    return " ".join(value.replace("\u00a0", " ").split()).casefold() if isinstance(value, str) else value
