"""The inputs of two workbooks of one job: what differs, and how to get from one to the other a change at a time."""

from __future__ import annotations

import copy
import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from quotebook.template.plan import Placed
from quotebook.workbook.located import Located


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the inputs, in the order of the sheets.

    ``path``: where in the data; ``row``: the key of the table's row, "" elsewhere; ``kind``: "changed", "row added",
    "row removed", "rows in another order". ``before`` and ``after`` as a person reads them, "" for nothing.
    """

    kind: str
    sheet: str
    label: str
    row: str
    before: str
    after: str
    path: tuple[str, ...]

    @property
    def told(self) -> str:
        """Return the change in a few words."""
        if self.kind == "changed":
            where = f"{self.sheet}, {self.label}" + (f" of {self.row}" if self.row else "")
            return f"{where}: {self.before or 'nothing'} -> {self.after or 'nothing'}"
        return f"{self.sheet}: {self.kind} {self.row}".rstrip()


def steps_between(
    located: Located, first: Mapping[str, Any], second: Mapping[str, Any]
) -> Iterator[tuple[Change, dict[str, Any]]]:
    """Yield each change with the data after it; the last data are those of ``second`` in every field known here.

    Shape:  ``first``, ``second``: data as read from the inputs, by "job" and "shop". Fields of ``located`` give order
            and words.
    """
    data = copy.deepcopy(dict(first))
    tables: set[str] = set()
    for placed in located.fields.values():
        if not placed.field.is_input:
            continue
        if placed.shape == "scalar":
            path = tuple(placed.field.bind.split("."))
            before, after = _get(data, path), _get(second, path)
            if before != after:
                _set(data, path, after)
                change = Change(
                    "changed", placed.sheet, placed.field.label, "", shown(before), shown(after), path
                )  # fmt: skip
                yield change, copy.deepcopy(data)
        elif placed.table_bind not in tables:
            tables.add(placed.table_bind)
            yield from _table_steps(located, placed, data, second)


def _table_steps(
    located: Located, placed: Placed, data: dict[str, Any], second: Mapping[str, Any]
) -> Iterator[tuple[Change, dict[str, Any]]]:
    path = tuple(placed.table_bind.split("."))
    rows: list[Any] = list(_get(data, path) or [])
    wanted: list[Any] = list(_get(second, path) or [])
    if rows == wanted:
        return
    columns = [one for one in located.fields.values() if one.table_bind == placed.table_bind and one.field.is_input]
    if any(one.field.bind == "." for one in columns):
        _set(data, path, wanted)
        words = (", ".join(map(shown, rows)), ", ".join(map(shown, wanted)))
        yield Change("changed", placed.sheet, placed.field.label, "", *words, path), copy.deepcopy(data)
        return
    key_field = located.fields.get(placed.table_key)
    key = key_field.field.bind if key_field is not None else columns[0].field.bind
    home = key_field.sheet if key_field is not None else placed.sheet
    ours, theirs = _by_key(rows, key), _by_key(wanted, key)
    for name in [name for name in ours if name not in theirs]:
        rows.remove(ours[name])
        _set(data, path, rows)
        yield Change("row removed", home, "", name, _row_words(ours[name]), "", path), copy.deepcopy(data)
    for name in [name for name in theirs if name in ours]:
        for one in columns:
            word = one.field.bind
            before, after = ours[name].get(word), theirs[name].get(word)
            if before != after:
                _put(ours[name], word, after)
                _set(data, path, rows)
                told = Change("changed", one.sheet, one.field.label, name, shown(before), shown(after), (*path, word))
                yield told, copy.deepcopy(data)
    for index, name in enumerate(theirs):
        if name not in ours:
            rows.insert(index, copy.deepcopy(theirs[name]))
            _set(data, path, rows)
            yield Change("row added", home, "", name, "", _row_words(theirs[name]), path), copy.deepcopy(data)
    if rows != wanted:
        _set(data, path, wanted)
        yield Change("rows in another order", home, "", "", "", "", path), copy.deepcopy(data)


def _by_key(rows: list[Any], key: str) -> dict[str, dict[str, Any]]:
    """Return the rows by their key; a key that stands twice gets its number behind it."""
    found: dict[str, dict[str, Any]] = {}
    for row in rows:
        name = shown(row.get(key)) or "(no name)"
        number = 2
        while name in found:
            name = f"{name.split(' #')[0]} #{number}"
            number += 1
        found[name] = row
    return found


def shown(value: Any) -> str:
    """Return a value of the data as a person reads it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.10g}"
    return value.isoformat() if isinstance(value, datetime.date) else str(value)


def _row_words(row: Mapping[str, Any]) -> str:
    return ", ".join(f"{word} {shown(value)}" for word, value in row.items())


def _get(data: Mapping[str, Any], path: tuple[str, ...]) -> Any:
    found: Any = data
    for step in path:
        if not isinstance(found, Mapping) or step not in found:
            return None
        found = found[step]
    return found


def _set(data: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    for step in path[:-1]:
        data = data.setdefault(step, {})
    _put(data, path[-1], value)


def _put(table: dict[str, Any], word: str, value: Any) -> None:
    if value is None:
        table.pop(word, None)
    else:
        table[word] = value
