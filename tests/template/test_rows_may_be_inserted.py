"""Rows may be inserted by hand in any table of the template without a formula reading the wrong row silently.

Source: by hand. When somebody inserts a row, the spreadsheet program moves the references of the formulas that are
there; tables on other sheets that follow row by row do not grow. So no formula may take whole columns of one table
from two sheets (their rows would no longer stand beside each other), and the table that the rows belong to must not
read the row of the same number on a sheet that follows it.
"""

from __future__ import annotations

import re

import pytest

from quotebook.template.layout import lay_out
from quotebook.template.load import load_template
from quotebook.template.plan import Placed

PLACED = lay_out(load_template()).placed
_NAME = re.compile(r'"(?:[^"]|"")*"|([a-z][a-z0-9]*(?:_[a-z0-9]+)+)(\[[^\]]*\])?')


def formulas() -> list[tuple[str, Placed | None, str]]:
    found: list[tuple[str, Placed | None, str]] = []
    for name, placed in PLACED.items():
        found += [(name, placed, text) for text in (placed.field.formula, placed.field.first) if text]
    for sheet in load_template().sheets:
        for block in sheet.blocks:
            found += [(check.name, None, check.count) for check in getattr(block, "checks", ())]
    return found


_PAIRING = re.compile(r"\b(?:SUMPRODUCT|SUMIFS?|COUNTIFS|MAXIFS|MINIFS|INDEX|MATCH)\(")


def pairings(formula: str) -> list[str]:
    """The calls, whole, of functions that take the rows of several columns beside each other."""
    found = []
    for start in _PAIRING.finditer(formula):
        depth, end = 1, start.end()
        while depth:
            depth += {"(": 1, ")": -1}.get(formula[end], 0)
            end += 1
        found.append(formula[start.start() : end])
    return found


def homes() -> dict[str, str]:
    """The sheet on which the key column of each table stands."""
    return {placed.row_key: PLACED[placed.table_key].sheet for placed in PLACED.values() if placed.table_key}


@pytest.mark.parametrize(("name", "placed", "formula"), formulas(), ids=[name for name, _, _ in formulas()])
def test_no_formula_reads_two_sheets_row_beside_row(name: str, placed: Placed | None, formula: str) -> None:
    for word, index in _NAME.findall(formula):
        target = PLACED.get(word)
        if target and not index and placed and placed.row_key == target.row_key and target.sheet != placed.sheet:
            assert homes().get(target.row_key, target.sheet) == target.sheet, f"{name} reads {word} by its row number"
    for call in pairings(formula):
        whole: dict[str, set[str]] = {}
        for word, index in _NAME.findall(call):
            if index == "[]" and word in PLACED and PLACED[word].row_key:
                whole.setdefault(PLACED[word].row_key, set()).add(PLACED[word].sheet)
        assert all(len(sheets) == 1 for sheets in whole.values()), f"{name}: {whole}"
