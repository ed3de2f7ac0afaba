"""Stored results that are not what their formulas give: which are asleep and which were typed into the file."""

from __future__ import annotations

from dataclasses import dataclass

from quotebook.audit.view import BookView
from quotebook.engine.book import Status
from quotebook.values import Address

#: Single stale cells whose readers are asked, and readers asked of each; the rest counts as asleep.
MOST_LOOKED_AT = 40
MOST_READERS = 8


@dataclass(frozen=True, slots=True)
class Stale:
    """``asleep``: stale cells that others agree with, as after a change without calculation; ``roots`` are the first of
    them on every way. ``typed``: stale cells whose readers all agree with the recomputed result, or that nothing reads.
    ``missing``: formula cells without any stored result; ``stored``: how many have one.
    """

    asleep: tuple[Address, ...]
    roots: tuple[Address, ...]
    typed: tuple[Address, ...]
    missing: tuple[Address, ...]
    stored: int


def stale(view: BookView) -> Stale:
    """Return the stored results sorted out; see ``BookView.stale_cells`` for what is left out."""
    return view.shared(_sort_out)


def _sort_out(view: BookView) -> Stale:
    listed = [*view.stale_cells]
    cells = set(listed)
    listed += _emptied(view, cells)
    cells.update(listed)
    asleep: list[Address] = []
    typed: list[Address] = []
    looked_at = 0
    for cell in listed:
        readers = view.links.dependants(cell)
        if readers & cells or view.links.precedents(cell) & cells or looked_at >= MOST_LOOKED_AT:
            asleep.append(cell)
            continue
        looked_at += 1
        told = any(view.known(reader) and _matters(view, reader, cell) for reader in sorted(readers)[:MOST_READERS])
        (typed if told or (not readers and len(cells) == 1) else asleep).append(cell)
    roots = [cell for cell in asleep if not view.links.precedents(cell) & cells]
    missing: list[Address] = []
    stored = 0
    for address, result in view.evaluation.results.items():
        if result.status is not Status.EVALUATED:
            continue
        if view.stored(address) is None and result.value not in (None, ""):
            missing.append(address)
        else:
            stored += 1
    return Stale(tuple(asleep), tuple(roots), tuple(typed), tuple(missing), stored)


def _emptied(view: BookView, cells: set[Address]) -> list[Address]:
    """Return formulas behind stale cells that give a text now and have no stored result.

    An empty text is stored as nothing; whether it was one shows only where a reader of it is stale.
    """
    found: dict[Address, None] = {}
    waiting = list(cells)
    while waiting:
        for cell in view.links.precedents(waiting.pop()):
            value = view.value(cell) if cell in view.book.formulas and view.stored(cell) is None else None
            if isinstance(value, str) and value and cell not in found:
                found[cell] = None
                waiting.append(cell)
    return sorted(found)


def _matters(view: BookView, reader: Address, cell: Address) -> bool:
    """Tell whether a reader's result would be another with the cell's stored value."""
    then = view.what_if.results({cell: view.stored(cell)}, [reader])[0]
    return then.status is Status.EVALUATED and then.value != view.value(reader)
