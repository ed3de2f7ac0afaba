"""What the checks share that need no contract: the grid, runs, labels and units of one workbook, each made once."""

from __future__ import annotations

from functools import cached_property

from quotebook.audit.grid import Grid
from quotebook.audit.labels import Labels
from quotebook.audit.runs import Runs
from quotebook.audit.units_read import Units
from quotebook.audit.view import BookView


class Foreign:
    """The shared facts of one workbook."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid

    @cached_property
    def labels(self) -> Labels:
        """The words beside and above cells."""
        return Labels(self.grid)

    @cached_property
    def runs(self) -> Runs:
        """Stretches of like formulas."""
        return Runs(self.grid)

    @cached_property
    def units(self) -> Units:
        """Units read from labels."""
        return Units(self.grid, self.labels)


def foreign(view: BookView) -> Foreign:
    """Return the shared facts of a workbook."""
    return view.shared(_make)


def _make(view: BookView) -> Foreign:
    return Foreign(Grid(view.snapshot, view.book, view.evaluation))
