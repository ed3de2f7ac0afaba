"""Where the fields of a contract really are, where their defined names no longer say so.

A name that somebody re-pointed, or that a deletion broke, is found out by the label or heading that belongs to the
field, and by the other columns of its table. What was found is used by all other checks, so that one wandering name
does not make every formula look wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from quotebook.template.plan import Placed
from quotebook.template.references import area, lot_name
from quotebook.workbook.contract import Contract
from quotebook.workbook.contract_extras import OtherCell
from quotebook.workbook.located import Located, parse_reference
from quotebook.workbook.snapshot import Sheet, Snapshot

_LABELS = ("label", "heading", "total")


class Wandered(NamedTuple):
    """A defined name that does not say where its field is. ``found``: its text now, "" when it is missing."""

    name: str
    field: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class TruePlaces:
    """Fields where they really are (``located``, whose ``lost`` are those found nowhere), and names that are wrong."""

    located: Located
    wandered: tuple[Wandered, ...]
    counts: Mapping[str, tuple[str, int, int]]
    titles: Mapping[str, str]


def true_places(contract: Contract, located: Located, snapshot: Snapshot) -> TruePlaces:
    """Return where the fields, and the counts of the Start sheet (sheet, row, column), really are.

    ``titles``: present title of each sheet that the workbook was made with and that is still there.
    """
    finder = _Finder(contract, located, snapshot)
    fields = finder.fields()
    counts = finder.counts()
    names = {name.name.casefold(): name.text for name in snapshot.names if name.sheet is None}
    all_names = _names(fields, counts)
    wandered = [one for one in all_names if not _same(names.get(one.name.casefold()), one.expected)]
    told = tuple(one._replace(found=names.get(one.name.casefold(), "")) for one in wandered)
    lost = {name: text for name, text in located.lost.items() if name not in fields}
    return TruePlaces(Located(fields, lost), told, counts, finder.titles)


def _names(fields: Mapping[str, Placed], counts: Mapping[str, tuple[str, int, int]]) -> Iterator[Wandered]:
    for name, placed in fields.items():
        if placed.shape == "lot column":
            for lot in range(placed.columns):
                expected = area(placed.sheet, placed.row, placed.column + lot, placed.rows)
                yield Wandered(lot_name(name, lot), name, "", expected)
        else:
            expected = area(placed.sheet, placed.row, placed.column, placed.rows, placed.columns)
            yield Wandered(name, name, "", expected)
    for name, place in counts.items():
        yield Wandered(name, name, "", area(*place))


def _same(text: str | None, expected: str) -> bool:
    found = parse_reference(text or "")
    wanted = parse_reference(expected)
    if found is None or wanted is None:
        return False
    return found[0].casefold() == wanted[0].casefold() and found[1:] == wanted[1:]


class _Finder:
    def __init__(self, contract: Contract, located: Located, snapshot: Snapshot) -> None:
        self.contract = contract
        self.located = located
        self.snapshot = snapshot
        self.labels: dict[str, OtherCell] = {}
        for other in contract.others:
            if other.look in _LABELS and not other.is_formula:
                self.labels.setdefault(other.anchor, other)
        self.texts: dict[str, dict[str, list[tuple[int, int]]]] = {}
        for sheet in snapshot.sheets:
            self.texts[sheet.title] = _texts(sheet)
        self.titles = self._titles()

    def _titles(self) -> dict[str, str]:
        """Return the present title of each promised sheet: the one that most of its fields, or labels, are on."""
        votes: dict[str, Counter[str]] = {}
        for name, placed in self.located.fields.items():
            votes.setdefault(self.contract.fields[name].sheet, Counter())[placed.sheet] += 1
        titles = {sheet: count.most_common(1)[0][0] for sheet, count in votes.items()}
        present = {sheet.title.casefold(): sheet.title for sheet in self.snapshot.sheets}
        for placed in self.contract.fields.values():
            if placed.sheet not in titles and placed.sheet.casefold() in present:
                titles[placed.sheet] = present[placed.sheet.casefold()]
        return titles

    def fields(self) -> dict[str, Placed]:
        found: dict[str, Placed] = {}
        for name, promised in self.contract.fields.items():
            placed = self._by_label(name, promised, self.located.fields.get(name))
            if placed is not None:
                found[name] = placed
        return self._in_step(found)

    def _by_label(self, name: str, promised: Placed, placed: Placed | None) -> Placed | None:
        label = self.labels.get(lot_name(name, 0) if promised.shape == "lot column" else name)
        title = self.titles.get(promised.sheet)
        if label is None or title is None:
            return placed
        if placed is not None and (placed.row + label.down, placed.column + label.right) in self._spots(
            label, placed.sheet
        ):
            return placed
        near = placed if placed is not None and placed.sheet == title else None
        spot = _nearest(self._spots(label, title), label, near, self._expected(promised, title))
        if spot is None:
            return placed
        shape = placed if placed is not None else promised
        return replace(promised, sheet=title, row=spot[0], column=spot[1], rows=shape.rows, columns=shape.columns)

    def _spots(self, label: OtherCell, title: str) -> list[tuple[int, int]]:
        return self.texts.get(title, {}).get(label.text, [])

    def _expected(self, promised: Placed, title: str) -> int | None:
        """Return the row where a lost field would be if it moved as its neighbours on the sheet did."""
        for name in self.contract.fields:
            other = self.located.fields.get(name)
            if other is not None and self.contract.fields[name].sheet == promised.sheet and other.sheet == title:
                return other.row
        return None

    def _in_step(self, fields: dict[str, Placed]) -> dict[str, Placed]:
        """Give the columns of one table the rows that most of them have."""
        tables: dict[tuple[str, str], list[str]] = {}
        for name, placed in fields.items():
            if placed.shape in ("column", "lot column"):
                tables.setdefault((self.contract.fields[name].sheet, placed.row_key), []).append(name)
        for names in tables.values():
            rows = Counter((fields[name].row, fields[name].rows) for name in names)
            (row, count), votes = rows.most_common(1)[0]
            if votes * 2 > len(names):
                for name in names:
                    fields[name] = replace(fields[name], row=row, rows=count)
        for name, placed in fields.items():
            if placed.shape == "scalar" and (placed.rows, placed.columns) != (1, 1):
                fields[name] = replace(placed, rows=1, columns=1)
            if placed.shape == "series":
                fields[name] = replace(placed, rows=1, columns=self._lots(fields))
        return fields

    def _lots(self, fields: Mapping[str, Placed]) -> int:
        widths = Counter(placed.columns for placed in fields.values() if placed.shape == "series")
        return widths.most_common(1)[0][0]

    def counts(self) -> dict[str, tuple[str, int, int]]:
        names = {name.name.casefold(): name.text for name in self.snapshot.names if name.sheet is None}
        found: dict[str, tuple[str, int, int]] = {}
        for name in self.contract.checks:
            label = self.labels.get(name)
            place = parse_reference(names.get(name.casefold(), ""))
            sheet = self.snapshot.sheet(place[0]) if place else None
            if place is not None and sheet is not None:
                spots = self._spots(label, sheet.title) if label is not None else []
                if label is None or (place[1] + label.down, place[2] + label.right) in spots:
                    found[name] = (sheet.title, place[1], place[2])
                    continue
            home = self._home_of_counts()
            spots = self._spots(label, home) if label is not None and home is not None else []
            if label is not None and home is not None and len(spots) == 1:
                found[name] = (home, spots[0][0] - label.down, spots[0][1] - label.right)
        return found

    def _home_of_counts(self) -> str | None:
        """Return the sheet on which most labels of counts stand."""
        labels = [self.labels[name].text for name in self.contract.checks if name in self.labels]
        votes = {title: sum(text in texts for text in labels) for title, texts in self.texts.items()}
        best = max(votes, key=lambda title: votes[title], default=None)
        return best if best is not None and votes[best] else None


def _texts(sheet: Sheet) -> dict[str, list[tuple[int, int]]]:
    texts: dict[str, list[tuple[int, int]]] = {}
    for key, cell in sheet.cells.items():
        if isinstance(cell.value, str) and cell.formula is None:
            texts.setdefault(cell.value, []).append(key)
    return texts


def _nearest(
    spots: Iterable[tuple[int, int]], label: OtherCell, placed: Placed | None, row: int | None
) -> tuple[int, int] | None:
    """Return the cell that belongs to the label nearest to where the name points, or the only one."""
    places = [(row - label.down, column - label.right) for row, column in spots]
    if not places:
        return None
    if placed is not None:
        return min(places, key=lambda place: abs(place[0] - placed.row) + abs(place[1] - placed.column))
    return places[0] if len(places) == 1 or row is None else min(places, key=lambda place: abs(place[0] - row))
