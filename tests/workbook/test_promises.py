"""What the contract promises for a row is not always the row above filled down, and is found broken where it is not."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from quotebook.engine.filled_down import row_free
from quotebook.flows.opening import open_workbook
from quotebook.values import Address
from quotebook.workbook.promises import broken_promises
from tests.audit.contract_base import Spoiled, base_view, formula, spoil, write_base


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_base(tmp_path_factory.mktemp("base"))


def broken(path: Path) -> list[Address]:
    opened = open_workbook(path)
    assert opened.contract is not None
    assert opened.located is not None
    return [one.address for one in broken_promises(opened.contract, opened.located, opened.snapshot)]


def test_a_sound_workbook_breaks_no_promise(base: Path) -> None:
    assert broken(base) == []


def test_a_reference_to_the_lot_that_was_filled_down_is_broken_in_every_row_but_the_first(
    base: Path, tmp_path: Path
) -> None:
    """The lot stands in one row for all operations; without its ``$`` a fill takes it along."""
    view = base_view(base)
    placed = view.field("pieces_entering")
    assert placed is not None
    first = Address(placed.sheet, placed.row, placed.column)
    text = view.book.formulas[first]
    assert "Price!C8" in text, "the first lot's size"
    cells = {}
    for row in (1, 2):
        cell = first._replace(row=first.row + row)
        # Every reference without a ``$`` before its row goes down with the fill.
        pieces = re.split(r"(?<![A-Za-z_$])([A-Z]{1,2})(\d+)(?![\d(])", text)
        pieces[2::3] = [str(int(number) + row) for number in pieces[2::3]]
        moved = "".join(pieces)
        assert f"Price!C{8 + row}" in moved
        assert row_free(moved, cell.row) == row_free(text, first.row), "the first row's formula, filled down"
        cells[cell] = formula(moved)
    spoiled = spoil(base, tmp_path / "filled.xlsx", Spoiled(cells=cells))
    assert set(cells) <= set(broken(spoiled))


def test_one_odd_row_among_rows_filled_down_is_broken(base: Path, tmp_path: Path) -> None:
    view = base_view(base)
    placed = view.field("run_minutes")
    assert placed is not None
    last = Address(placed.sheet, placed.row + placed.rows - 1, placed.column)
    above = last._replace(row=last.row - 1)
    right = view.book.formulas[last]
    assert row_free(right, last.row) == row_free(view.book.formulas[above], above.row), "a column filled down"
    for wrong in (view.book.formulas[above], right.replace("+", "-")):
        path = spoil(base, tmp_path / "odd.xlsx", Spoiled(cells={last: formula(wrong)}))
        assert broken(path) == [last]
        path.unlink()
