"""Where the fields of a contract are now, told by the workbook's defined names."""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NamedTuple

from quotebook.template.plan import Placed
from quotebook.template.references import lot_name
from quotebook.values import column_number
from quotebook.workbook.contract import Contract
from quotebook.workbook.snapshot import DefinedName, Snapshot

_AREA = re.compile(
    r"^(?:'(?P<quoted>(?:[^']|'')+)'|(?P<plain>[^'!]+))!\$?(?P<c1>[A-Z]{1,3})\$?(?P<r1>\d+)"
    r"(?::\$?(?P<c2>[A-Z]{1,3})\$?(?P<r2>\d+))?$"
)

#: A field of more rows or columns than this is no field of a quote; its name was spoiled.
MOST_ROWS, MOST_COLUMNS = 5_000, 200


@dataclass(frozen=True, slots=True)
class Located:
    """Fields with their present place; ``lost`` tells for each name that cannot be found what it says now."""

    fields: Mapping[str, Placed]
    lost: Mapping[str, str]


def locate(contract: Contract, snapshot: Snapshot) -> Located:
    """Return the present place of every field of the contract.

    Names are compared without regard to capitals, as spreadsheet programs do. A field whose name is missing, broken
    or points to several areas is lost, never guessed.
    """
    titles = tuple(sheet.title for sheet in snapshot.sheets)
    for known in _LOCATED:
        if known.contract is contract and known.titles == titles and known.names == snapshot.names:
            return known.located
    located = _locate(contract, snapshot)
    _LOCATED.appendleft(_Known(contract, snapshot.names, titles, located))
    return located


class _Known(NamedTuple):
    contract: Contract
    names: tuple[DefinedName, ...]
    titles: tuple[str, ...]
    located: Located


#: What was found lately: files of one batch share their contract, their names and their sheets.
_LOCATED: deque[_Known] = deque(maxlen=4)


def _locate(contract: Contract, snapshot: Snapshot) -> Located:
    names = {name.name.casefold(): name.text for name in snapshot.names if name.sheet is None}
    titles = {sheet.title.casefold(): sheet.title for sheet in snapshot.sheets}
    found: dict[str, Placed] = {}
    lost: dict[str, str] = {}
    for name, promised in contract.fields.items():
        wanted = lot_name(name, 0) if promised.shape == "lot column" else name
        text = names.get(wanted.casefold(), "")
        area = parse_reference(text)
        title = titles.get(area[0].casefold()) if area else None
        if area is None or title is None or area[3] > MOST_ROWS or area[4] > MOST_COLUMNS:
            lost[name] = text
            continue
        _, row, column, rows, columns = area
        if promised.shape == "lot column":
            columns = promised.columns
        found[name] = replace(promised, sheet=title, row=row, column=column, rows=rows, columns=columns)
    return Located(found, lost)


@lru_cache(maxsize=4096)
def parse_reference(text: str) -> tuple[str, int, int, int, int] | None:
    """Return sheet title, row, column, rows and columns of a reference like ``'My sheet'!$A$1:$B$2``, or None."""
    match = _AREA.match(text.strip().removeprefix("="))
    if match is None:
        return None
    sheet = match["quoted"].replace("''", "'") if match["quoted"] else match["plain"]
    row, column = int(match["r1"]), column_number(match["c1"])
    last_row, last_column = int(match["r2"] or row), column_number(match["c2"] or match["c1"])
    return sheet, row, column, last_row - row + 1, last_column - column + 1
