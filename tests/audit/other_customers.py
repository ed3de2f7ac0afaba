"""A customer of another file, and workbooks that do or do not tell of it. Names are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import openpyxl

from quotebook.audit.checks import another_customer_named
from quotebook.audit.finding import Finding
from quotebook.audit.view import BookView
from quotebook.audit.whose import Whose
from quotebook.flows.audit import view_of
from quotebook.flows.opening import open_workbook
from quotebook.workbook.formula_book import formula_book
from quotebook.workbook.snapshot import Cell
from tests.audit.contract_base import base_view
from tests.audit.homemade import saved

OTHER = Whose("other.xlsx", "Brackwater Conveyors Ltd (invented)", ("a.buyer@brackwater.example",), "QX-1043", (
    205.5, 118.1, 61.05, 45.85,
))  # fmt: skip
LABELLED = {"A1": "Customer", "B1": "Ostrava Lifts", "A3": "Frame", "B3": 120.0}


def told(view: BookView, others: Sequence[Whose] = (OTHER,)) -> list[Finding]:
    view.others = tuple(others)
    try:
        return list(another_customer_named.find(view))
    finally:
        view.others = ()


def written(base: Path, text: str | None, field: str = "job_note", **fields: str | float | None) -> BookView:
    """The workbook of the base with something typed into some of its fields; a field's name may end in _ROW."""
    view = base_view(base)
    sheets = {sheet.title: dict(sheet.cells) for sheet in view.snapshot.sheets}
    for name, value in {field: text, **fields}.items():
        stem, _, row = name.rpartition("_")
        cell = view.field_cell(stem, int(row)) if row.isdigit() else view.field_cell(name)
        assert cell is not None, f"there is no field {name}"
        sheets[cell.sheet][cell.row, cell.column] = Cell(value)
    snapshot = replace(
        view.snapshot, sheets=tuple(replace(one, cells=sheets[one.title]) for one in view.snapshot.sheets)
    )
    return BookView(
        snapshot, formula_book(snapshot), contract=view.contract, located=view.located_by_names, inputs=view.inputs
    )


def home(folder: Path, cells: dict[str, object], name: str = "home.xlsx") -> Path:
    book = openpyxl.Workbook()
    for cell, value in cells.items():
        book.active[cell] = value
    return saved(book, folder / name)


def home_view(folder: Path, cells: dict[str, object], name: str = "home.xlsx") -> BookView:
    return view_of(open_workbook(home(folder, cells, name)))
