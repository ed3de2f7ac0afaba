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
#: 143, with 15 % 165, 4.1 a piece. Setup: 0.75 h and 8 tools at 4 min, 1.3 h: 185, 4.6 a piece. Turning 28 to 20 over
#: 40 mm at 130 m/min and 0.22 mm: 1700 rpm, 3 cuts of 42 mm at 380 mm/min, 0.33 min; drilling 8.5 at 14 m/min, 0.08 mm:
#: 520 rpm, 42 mm/min, 0.8 min; the other six cuts 0.1 to 0.4 min each; 8 tool changes of 2 s and moves 0.4 min; load
#: 0.4 min: 2.5 to 5 min, 6 to 12. Deburring 2 min: 1.5. Together 16 to 22; a tenth more room on both sides.
STUD = Drawing(
    "stepped stud, mm",
    {
        "job_units": "mm", "part_length": 64.0, "part_width": 28.0, "part_height": 28.0, "break_quantity": 40.0,
        "stock_form": "round bar", "stock_material": "Stainless 303",
    },
    (
        {"operation_number": 10.0, "operation_work_center": "Lathe with live tools"},
        {"operation_number": 20.0, "operation_hand_rate": "Bench", "cycle_minutes": 2.0},
    ),
    (
        cut(10, "facing", diameter=30.0),
        cut(10, "turning", diameter=30.0, end_diameter=28.0, length=64.0),
        cut(10, "turning", diameter=28.0, end_diameter=20.0, length=40.0),
        cut(10, "drilling", diameter=8.5, length=30.0),
        cut(10, "tapping", diameter=10.0, length=22.0, pitch=1.5),
        cut(10, "groove or part off", diameter=20.0, end_diameter=16.0, width=3.0),
        cut(10, "chamfer or deburr", diameter=8.0, length=150.0),
        cut(10, "groove or part off", diameter=28.0, width=3.0),
    ),
    (14.4, 24.2),
    47,
)  # fmt: skip

#: A pocketed bracket, 4 x 2.5 x 0.75 in, aluminum 6061, 15 pieces, milled from two sides. The small mill's hour is
#: built up: 29 + 68 to sell, 1.6 a minute. Stock: 1 in block (0.75 + 0.079 in clean-up), 4.08 x 2.58: 10.5 in3, 1.03 lb
#: at 3.60: 3.7, with markup 4.3. Setups: 2 x 0.5 h and 9 tools at 4 min, 1.6 h: 156, 10.4 a piece. Removal at
#: 450 m/min, 0.08 mm, 3 teeth: a 2 in cutter at 2800 rpm feeds 26 in/min, 3 strips of 6 in: 0.7 min, twice; the
#: contour in 4 levels at 70 in/min: 0.7 min; the pocket, the slot, holes, threads, edges 1 to 2 min; 9 changes of 5 s
#: and moves 0.8 min; load 2 min: 5 to 7 min, 8 to 12. Together 23 to 27; a tenth more room on both sides.
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
        cut(10, "face milling", diameter=2.0, length=4.0, width=2.5, depth=0.12),
        cut(10, "contour milling", diameter=0.75, length=13.0, width=0.04, depth=0.75),
        cut(10, "pocket milling", diameter=0.5, length=2.0, width=1.2, depth=0.4),
        cut(10, "slot milling", diameter=0.375, length=2.5, depth=0.25),
        cut(10, "drilling", diameter=0.266, length=0.75, count=4.0),
        cut(10, "drilling", diameter=0.201, length=0.6, count=2.0),
        cut(10, "tapping", diameter=0.25, length=0.5, pitch=0.05, count=2.0),
        cut(10, "chamfer or deburr", diameter=0.25, length=20.0),
        cut(20, "face milling", diameter=2.0, length=4.0, width=2.5, depth=0.13),
    ),
    (20.7, 29.7),
    60,
)  # fmt: skip


#: Cells that both drawings say, one of each sort.
LEFT_OUT = (
    ("job_units", 0), ("part_height", 0), ("break_quantity", 0), ("stock_form", 0), ("stock_material", 0),
    ("operation_number", 0), ("operation_work_center", 0), ("cutting_kind", 1), ("cutting_length", 1),
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
