"""A block that was copied down the sheet calculates otherwise than its twins.

What it finds
    Blocks of rows with the same labels one below the other (the same calculation for each lot or part) in which one
    cell holds another formula than the cell at its place in the other blocks.

Why it costs money
    A block is mended or adapted by hand and the others are not: two lots of one quotation are priced by two rules.

Faulty
    lot 1: =B9/B2   lot 2: =B19/B2   lot 3: =B29/B22

Sound
    lot 1: =B9/B2   lot 2: =B19/B12   lot 3: =B29/B22

How to mend
    Copy the formula from the other block, or say beside it why this lot is calculated otherwise.

False alarms
    A block that is other by design. With two blocks nothing tells which of them is right: then it is only pointed at.

Source
    Catalogue row F48.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from quotebook.audit.finding import Check, Finding, Kind, Need, Severity, When
from quotebook.audit.foreign import foreign
from quotebook.audit.grid import Grid, a1
from quotebook.audit.telling import label, shape, told
from quotebook.audit.view import BookView
from quotebook.clock import tick
from quotebook.engine import syntax as s
from quotebook.engine.scope import children
from quotebook.values import Address

CHECK = Check(
    "diverged-block", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.POINTING, rows=("F48",)
)

#: A block has at least so many labels in common with the next, with at most so many rows between two of them.
FEWEST_LABELS = 5
WIDEST_GAP = 3
#: Blocks are copies of each other where this share of their formulas, and so many of them, say the same.
LIKE = 0.7
FEWEST_FORMULAS = 4


class Blocks(NamedTuple):
    """Like blocks of one sheet: row of the first label, rows from one to the next, labelled rows, how many blocks."""

    sheet: str
    top: int
    step: int
    rows: tuple[int, ...]
    blocks: int


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each cell that is other than its twins."""
    facts = foreign(view)
    for blocks in _blocks(facts.grid):
        odd: list[tuple[Address, Address, bool]] = []
        alike = 0
        for row in blocks.rows:
            for column in sorted(facts.grid.rows.get(blocks.sheet, {}).get(row, ())):
                first = Address(blocks.sheet, row, column)
                cells = [first._replace(row=row + number * blocks.step) for number in range(blocks.blocks)]
                if all(cell in facts.grid.trees for cell in cells):
                    found = _odd(facts.grid, blocks, cells)
                    odd += found
                    alike += not found
        if alike < FEWEST_FORMULAS or alike < LIKE * (alike + len(odd)):
            continue
        for cell, twin, sure in odd:
            named = facts.labels.of(cell).beside
            yield told(
                CHECK,
                cell,
                facts.grid.formula(cell),
                f"what {a1(twin)} says in its block: {facts.grid.formula(twin)}",
                "Copy the formula from the other block, or say why this one is calculated otherwise.",
                shape(f"{alike} other formulas of the {blocks.blocks} blocks say the same at their places"),
                label(f'both are labelled "{named}", {blocks.step} rows apart'),
                severity=None if sure else Severity.LOOK_AT_IT,
            )


def _blocks(grid: Grid) -> Iterator[Blocks]:
    """Yield the like blocks of every sheet, found by labels that come again after the same number of rows."""
    for sheet in grid.snapshot.sheets:
        columns: defaultdict[int, dict[int, str]] = defaultdict(dict)
        for (row, column), cell in sheet.cells.items():
            if isinstance(cell.value, str) and cell.formula is None and cell.value.strip():
                columns[column][row] = cell.value.strip().casefold()
        for texts in columns.values():
            tick()
            yield from _in_column(sheet.title, texts)
            if len(texts) >= 2 * FEWEST_LABELS:
                break  # the first column of labels tells the blocks


def _in_column(sheet: str, texts: dict[int, str]) -> Iterator[Blocks]:
    places: defaultdict[str, list[int]] = defaultdict(list)
    for row in sorted(texts):
        places[texts[row]].append(row)
    steps = Counter(b - a for rows in places.values() for a, b in pairwise(rows))
    step, votes = max(steps.items(), key=lambda one: (one[1], -one[0]), default=(0, 0))
    if votes < FEWEST_LABELS or step <= FEWEST_LABELS:
        return
    same = [row for row in sorted(texts) if texts.get(row + step) == texts[row]]
    stretch: list[int] = []
    for row in same:
        if stretch and (row - stretch[-1] > WIDEST_GAP or row - stretch[0] >= step):
            break
        stretch.append(row)
    if len(stretch) < FEWEST_LABELS:
        return
    count = 2
    while all(texts.get(row + count * step) == texts[row] for row in stretch):
        count += 1
    yield Blocks(sheet, stretch[0], step, tuple(stretch), count)


def _odd(grid: Grid, blocks: Blocks, cells: list[Address]) -> list[tuple[Address, Address, bool]]:
    """Return the cells that differ from most of their twins, each with a twin; not sure where there are only two."""
    twins = [[other for other in cells if other != cell and _same(grid, blocks, cell, other)] for cell in cells]
    if len(cells) == 2:
        return [] if twins[1] else [(cells[1], cells[0], False)]
    most = max(range(len(cells)), key=lambda number: len(twins[number]))
    if len(twins[most]) + 1 < len(cells) * 0.6:
        return []  # each block is another: nothing is a copy
    like = {cells[most], *twins[most]}
    return [(cell, cells[most], True) for cell in cells if cell not in like]


def _same(grid: Grid, blocks: Blocks, one: Address, other: Address) -> bool:
    """Tell whether two formulas say the same, each in its own block."""
    down = other.row - one.row
    top = blocks.top + (one.row - blocks.top) // blocks.step * blocks.step
    pending = [(grid.trees[one], grid.trees[other])]
    while pending:
        a, b = pending.pop()
        if type(a) is not type(b):
            return False
        if isinstance(a, s.Reference) and isinstance(b, s.Reference):
            if (a.sheet, a.left, a.right, a.form) != (b.sheet, b.left, b.right, b.form):
                return False
            for before, after in ((a.top, b.top), (a.bottom, b.bottom)):
                inside = a.sheet is None and top <= before < top + blocks.step
                if after - before != (down if inside else 0):
                    return False
            continue
        below, beside = children(a), children(b)
        if not below and a != b:
            return False
        if len(below) != len(beside) or _head(a) != _head(b):
            return False
        pending.extend(zip(below, beside, strict=True))
    return True


def _head(node: s.Node) -> object:
    """Return what a node is, apart from what stands below it."""
    if isinstance(node, s.Unary | s.Binary):
        return node.operator
    if isinstance(node, s.Chain):
        return node.operators
    return node.name if isinstance(node, s.Call) else None
