"""Which cell reads which: precedents and dependants of cells, through names, ranges and tables."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from quotebook.clock import tick
from quotebook.engine.book import FormulaBook
from quotebook.engine.precedents import Precedents
from quotebook.engine.scope import array_members
from quotebook.values import Address

#: Cells that all ranges of a book together may hold before the rest is left untraced; a hostile book must not
#: exhaust the memory.
MOST_LINKS = 3_000_000


class Block(NamedTuple):
    """A rectangle that a formula refers to; a single cell has equal corners."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int

    def holds(self, cell: Address) -> bool:
        """Tell whether a cell lies inside."""
        return (
            self.sheet == cell.sheet and self.top <= cell.row <= self.bottom and self.left <= cell.column <= self.right
        )

    @property
    def is_cell(self) -> bool:
        """Tell whether it is one cell."""
        return self.top == self.bottom and self.left == self.right


class Links:
    """The links between the cells of one book. ``complete`` is False where ranges were too many to trace.

    Cells are those with content: formulas, constants, opaque cells, members of array formulas (which are read and
    followed through the cell that holds the formula). Text that only becomes a reference while calculating (INDIRECT,
    OFFSET) is not followed. ``also``: blank cells to be linked like those with content.
    """

    def __init__(self, book: FormulaBook, also: Iterable[Address] = ()) -> None:
        self._book = book
        self._also = frozenset(also)
        precedents = Precedents(book)
        self._members = array_members(book)
        blocks = [Block(area.sheet, area.top, area.left, area.bottom, area.right) for area in precedents.scope.areas]
        self._reads = {cell: tuple(mentions.areas) for cell, mentions in precedents.mentions.items()}
        self._blocks = blocks
        self._narrow, self._wide = _by_column(blocks)
        self.names_used: Mapping[Address, frozenset[tuple[str | None, str]]] = {
            cell: frozenset(mentions.names) for cell, mentions in precedents.mentions.items() if mentions.names
        }
        self.functions: Mapping[Address, frozenset[str]] = {
            cell: frozenset(mentions.functions) for cell, mentions in precedents.mentions.items()
        }
        self._columns = self._index()
        self._inside: list[tuple[Address, ...]] = []
        self._holders: dict[Address, list[int]] = {}
        self._readers: dict[int, list[Address]] = {}
        self.complete = self._link()

    def _index(self) -> dict[str, dict[int, list[int]]]:
        columns: dict[str, dict[int, list[int]]] = {}
        book = self._book
        for cell in {*book.formulas, *book.inputs, *book.opaque, *self._members, *self._also}:
            columns.setdefault(cell.sheet, {}).setdefault(cell.column, []).append(cell.row)
        for sheet in columns.values():
            for rows in sheet.values():
                rows.sort()
        return columns

    def _link(self) -> bool:
        left = MOST_LINKS
        for number, block in enumerate(self._blocks):
            tick()
            cells = tuple(self.cells_in(block, left))
            left -= len(cells)
            self._inside.append(cells)
            for cell in cells:
                self._holders.setdefault(cell, []).append(number)
        for cell, areas in self._reads.items():
            for number in areas:
                self._readers.setdefault(number, []).append(cell)
        return left > 0

    def cells_in(self, block: Block, most: int = MOST_LINKS) -> Iterator[Address]:
        """Yield the cells with content inside a block, column by column, at most so many."""
        columns = self._columns.get(block.sheet, {})
        wide = block.right - block.left > 64
        for column in sorted(columns) if wide else range(block.left, block.right + 1):
            if not block.left <= column <= block.right or column not in columns:
                continue
            rows = columns[column]
            for row in rows[bisect_left(rows, block.top) : bisect_right(rows, block.bottom)]:
                if most <= 0:
                    return
                most -= 1
                yield Address(block.sheet, row, column)

    def blocks_of(self, cell: Address) -> tuple[Block, ...]:
        """Return the rectangles that a formula cell refers to, in no particular order."""
        return tuple(self._blocks[number] for number in self._reads.get(cell, ()))

    def precedents(self, cell: Address) -> set[Address]:
        """Return the cells with content that a cell reads directly."""
        if cell in self._members:
            cell = self._members[cell]
        return {each for number in self._reads.get(cell, ()) for each in self._inside[number]}

    def read_by(self, cells: Iterable[Address]) -> set[Address]:
        """Return the cells with content that any of some cells reads directly."""
        numbers = {number for cell in cells for number in self._reads.get(self._members.get(cell, cell), ())}
        return set().union(*(self._inside[number] for number in numbers))

    def dependants(self, cell: Address) -> set[Address]:
        """Return the formula cells that read a cell directly; the cell may be blank."""
        holders = self._holders.get(cell)
        if holders is None:
            near = [*self._narrow.get((cell.sheet, cell.column), ()), *self._wide]
            holders = [number for number in near if self._blocks[number].holds(cell)]
            self._holders[cell] = holders
        found = {reader for number in holders for reader in self._readers.get(number, ())}
        if cell in self._book.arrays:
            found |= {member for member, first in self._members.items() if first == cell and member != cell}
        return found

    def ancestors(
        self, cells: Iterable[Address], instead: Mapping[Address, Iterable[Address]] | None = None
    ) -> set[Address]:
        """Return all cells that the given cells depend on, themselves included.

        ``instead``: precedents to assume for some cells in place of their own.
        """
        other = instead or {}
        return _reached(cells, lambda cell: other[cell] if cell in other else self.precedents(cell))

    def descendants(self, cells: Iterable[Address]) -> set[Address]:
        """Return all cells that depend on the given cells, themselves included."""
        return _reached(cells, self.dependants)


def _by_column(blocks: Sequence[Block]) -> tuple[dict[tuple[str, int], list[int]], list[int]]:
    """Return the numbers of the blocks over each column of a sheet, and apart those over many columns."""
    narrow: dict[tuple[str, int], list[int]] = {}
    wide: list[int] = []
    for number, block in enumerate(blocks):
        if block.right - block.left > 64:
            wide.append(number)
            continue
        for column in range(block.left, block.right + 1):
            narrow.setdefault((block.sheet, column), []).append(number)
    return narrow, wide


def _reached(start: Iterable[Address], step: Callable[[Address], Iterable[Address]]) -> set[Address]:
    found = set(start)
    waiting = deque(found)
    while waiting:
        tick()
        for each in step(waiting.popleft()):
            if each not in found:
                found.add(each)
                waiting.append(each)
    return found
