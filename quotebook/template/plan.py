"""A laid-out workbook: every cell with its text, formula or input, before anything is written to a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from quotebook.template.spec import ChartSpec, FieldSpec, SheetSpec, TemplateSpec

#: How a cell is meant to look; the generator turns it into a format.
Look = Literal[
    "title", "purpose", "caution", "status", "block", "hint", "label", "heading", "lot heading", "unit",
    "column unit", "input", "given", "formula", "total", "state", "text", "link",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlannedCell:
    """One cell. Exactly one of ``text``, ``formula`` and ``field`` with role input says what it holds.

    ``source`` is a formula as the template writes it, in field names, and ``lot`` the lot that it is for, if any.
    ``name``: the defined name of a count or total that is no field.
    """

    look: Look
    text: str = ""
    formula: str = ""
    field: FieldSpec | None = None
    jump: str = ""
    source: str = ""
    lot: int | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a field went: its sheet and the rectangle of its cells (rows and columns from 1).

    ``shape``: "scalar" (one cell), "column" (one cell a row), "series" (one cell a lot), "lot column" (rows by lots).
    ``row_key``: for a column the capacity whose rows it counts.
    """

    field: FieldSpec
    sheet: str
    shape: Literal["scalar", "column", "series", "lot column"]
    row: int
    column: int
    rows: int = 1
    columns: int = 1
    row_key: str = ""
    table_bind: str = ""
    table_key: str = ""


@dataclass(slots=True)
class PlannedSheet:
    """A sheet's cells and its print and view settings."""

    spec: SheetSpec
    cells: dict[tuple[int, int], PlannedCell] = field(default_factory=dict)
    widths: dict[int, float] = field(default_factory=dict)
    heights: dict[int, float] = field(default_factory=dict)
    print_columns: int = 1
    last_row: int = 1
    freeze: tuple[int, int] | None = None
    title_rows: tuple[int, int] | None = None
    status_row: int = 3
    page_breaks: list[int] = field(default_factory=list)
    charts: list[tuple[int, ChartSpec]] = field(default_factory=list)


@dataclass(slots=True)
class Plan:
    """The whole workbook as laid out. ``names``: defined name to reference text, in order."""

    template: TemplateSpec
    sheets: list[PlannedSheet]
    placed: Mapping[str, Placed]
    names: dict[str, str]
    lots: int
