"""The shortest way to a first price: only what two drawings say is typed into a blank workbook with a shop's profile.

The two parts are invented. The bands are worked out beside each part by other means than the program's: rates and
usual figures of the example shop, removal rates and feeds by hand, with wide room for what a hand estimate leaves out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from quotebook.engine import evaluate
from quotebook.flows.demo import examples_folder
from quotebook.flows.opening import Opened, open_workbook
from quotebook.flows.recompute import recompute
from quotebook.model import read_shop
from quotebook.values import Value
from quotebook.workbook.changes import NewInput
from quotebook.workbook.patch import write_copy
from tests.made import place, stored, write_workbook

Row = Mapping[str, Value]


@dataclass(frozen=True)
class Drawing:
    """What a drawing and its order say, field by field, and what one piece of the first lot may come to."""

    name: str
    head: Row
    operations: tuple[Row, ...]
    cutting: tuple[Row, ...]
    unit_price: tuple[float, float]
    most_cells: int

    def cells(self) -> dict[tuple[str, int], Value]:
        """Return every cell that is typed, by field and row."""
        typed: dict[tuple[str, int], Value] = {(name, 0): value for name, value in self.head.items()}
        for rows in (self.operations, self.cutting):
            typed |= {(name, index): value for index, row in enumerate(rows) for name, value in row.items()}
        return typed


def cut(operation: int, kind: str, **sizes: float) -> Row:
    return {
        "cutting_operation": float(operation),
        "cutting_kind": kind,
        **{f"cutting_{k}": v for k, v in sizes.items()},
    }


#: A stepped stud, 28 x 64 mm, stainless 303, 40 pieces. The lathe sells at 76 + 68 an hour, 2.4 a minute; the bench 46.
#: Stock: next round bar above 28 + 2 is 30 mm; 40 pieces of 69 mm take most of a 3 m bar, 2.1 dm3, 16.8 kg at 8.50:
#: 143, with 15 % 165, 4.1 a piece. Setup: 0.75 h, a chuck of 8 min, a check of 10 min, 8 tools at 4 min, 1.58 h: 228,
#: 5.7 a piece.
#: Turning 30 to 28 over 64 mm and 28 to 20 over 40 mm at 130 m/min and 0.22 mm: 1400 and 1700 rpm, one and 3 cuts at
#: 310 and 380 mm/min, 0.2 and 0.33 min; drilling 8.5 at 45 m/min, 0.1 mm: 1700 rpm, 170 mm/min, 0.2 min; tapping at
#: 220 rpm, in and out 0.15; edges 176 mm at 640 mm/min, 0.3; facing, groove, parting 0.3 together; 8 tool changes of
#: 5 s and moves 0.75 min; load 0.4, 10 s more for
#: each of 8 features: 3.7 to 5.7 min, 9 to 13.8. Deburring 2 min: 1.5. Together 20.3 to 25.1; a tenth more room on
#: both sides.
STUD = Drawing(
    "stepped stud, mm",
    {
        "job_units": "mm", "part_length": 64.0, "part_width": 28.0, "part_height": 28.0, "break_quantity": 40.0,
        "stock_form": "round bar", "stock_material": "Stainless 303",
    },
    (
        {"operation_number": 10.0, "operation_work_center": "Lathe with live tools"},
        {"operation_number": 20.0, "operation_hand_rate": "Bench"},
    ),
    (
        cut(10, "facing"),
        cut(10, "turning", end_diameter=28.0),
        cut(10, "turning", diameter=28.0, end_diameter=20.0, length=40.0),
        cut(10, "drilling", diameter=8.5, length=30.0),
        cut(10, "tapping", diameter=10.0, length=22.0, pitch=1.5),
        cut(10, "groove or part off", diameter=20.0, end_diameter=16.0, width=3.0),
        cut(10, "chamfer or deburr"),
        cut(10, "part off"),
    ),
    (18.3, 27.6),
    39,
)  # fmt: skip

#: A pocketed bracket, 4 x 2.5 x 0.75 in, aluminum 6061, 15 pieces, milled from two sides. The small mill's hour is
#: built up: 29 + 68 to sell, 1.62 a minute. Stock: 1 in block (0.75 + 0.079 in clean-up), 4.08 x 2.58: 10.5 in3, 1.03
#: lb at 3.60: 3.7, with markup 4.3. Setups: 2 x 0.5 h, 2 vises and 2 first-piece checks of 10 min each, 9 tools at
#: 4 min, 2.27 h: 220, 14.7 a piece. Faces with the usual 63 mm cutter of 5 teeth at 450 m/min, 0.08 mm: 2270 rpm, 36
#: in/min, 3 strips of 6.5 in: 0.54 min, twice; the contour in 4 levels of 13 in at 95 in/min or faster: 0.3 to 0.55
#: min; the pocket, the slot, holes, threads, edges 1 to 2 min; 9 changes of 8 s and moves 1.2 min; 10 s more for each
#: of 14 features 2.3; load 2 min: 7.8 to 9.3 min, 12.7 to 15.1. Together 31.7 to 34.1; a tenth more room on both sides.
BRACKET = Drawing(
    "pocketed bracket, in",
    {
        "job_units": "in", "part_length": 4.0, "part_width": 2.5, "part_height": 0.75, "break_quantity": 15.0,
        "stock_form": "block", "stock_material": "Aluminum 6061",
    },
    (
        {"operation_number": 10.0, "operation_work_center": "3-axis mill, small"},
        {"operation_number": 20.0, "operation_work_center": "3-axis mill, small"},
    ),
    (
        cut(10, "face milling"),
        cut(10, "contour milling"),
        cut(10, "pocket milling", length=2.0, width=1.2, depth=0.4),
        cut(10, "slot milling", diameter=0.375, length=2.5, depth=0.25),
        cut(10, "drilling", diameter=0.266, count=4.0),
        cut(10, "drilling", diameter=0.201, length=0.6, count=2.0),
        cut(10, "tapping", diameter=0.25, length=0.5, pitch=0.05, count=2.0),
        cut(10, "chamfer or deburr"),
        cut(20, "face milling"),
    ),
    (28.5, 37.5),
    44,
)  # fmt: skip


#: Cells that both drawings say, one of each sort.
LEFT_OUT = (
    ("job_units", 0), ("part_height", 0), ("break_quantity", 0), ("stock_form", 0), ("stock_material", 0),
    ("operation_number", 0), ("operation_work_center", 0), ("cutting_kind", 1), ("cutting_length", 2),
)  # fmt: skip


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workbook with the example shop and nothing of a job."""
    folder = tmp_path_factory.mktemp("shortest")
    return write_workbook(folder / "blank.xlsx", read_shop(examples_folder() / "shop.toml"), None)


@pytest.mark.parametrize("drawing", [STUD, BRACKET], ids=lambda one: one.name)
def test_what_a_drawing_says_is_enough_for_a_plausible_price(drawing: Drawing, blank: Path, tmp_path: Path) -> None:
    typed = drawing.cells()
    assert len(typed) <= drawing.most_cells
    filled = fill(blank, tmp_path, typed)
    opened = open_workbook(filled)
    assert stored(opened, "unit_price", lot=1) == pytest.approx(sum(drawing.unit_price) / 2, abs=half(drawing))
    assert "missing for the price" not in str(stored(opened, "sheet_status"))
    assert stored(opened, "first_price") == stored(opened, "unit_price", lot=1)
    assert "usual price" in str(stored(opened, "lot_stock_note", lot=1))
    told = recompute(filled)
    assert told.disagreements == []
    assert any("the shop's usual" in note for note in told.notes)


@pytest.mark.parametrize("drawing", [STUD, BRACKET], ids=lambda one: one.name)
def test_without_any_of_these_cells_there_is_no_price_or_another(drawing: Drawing, blank: Path) -> None:
    """None is typed in vain: left blank, each either stops the price or changes it."""
    opened, typed = open_workbook(blank), drawing.cells()
    whole = price(opened, typed)
    assert isinstance(whole, float)
    for left in LEFT_OUT:
        rest = {key: value for key, value in typed.items() if key != left}
        assert price(opened, rest) != whole, left


def fill(blank: Path, folder: Path, typed: Mapping[tuple[str, int], Value]) -> Path:
    """Write a copy with these cells typed and every result computed."""
    opened = open_workbook(blank)
    typed_file, filled = folder / "typed.xlsx", folder / "filled.xlsx"
    changes: dict[Any, Any] = {place(opened, *key): NewInput(value) for key, value in typed.items()}
    write_copy(blank, typed_file, changes, force=True)
    recompute(typed_file, save_as=filled, force=True)
    return filled


def price(blank: Opened, typed: Mapping[tuple[str, int], Value]) -> Value:
    """Return the unit price of the first lot with these cells typed."""
    inputs = {**blank.book.inputs, **{place(blank, *key): value for key, value in typed.items()}}
    return evaluate(replace(blank.book, inputs=inputs)).results[place(blank, "unit_price", lot=1)].value


def half(drawing: Drawing) -> float:
    low, high = drawing.unit_price
    return (high - low) / 2
