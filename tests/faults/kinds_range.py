"""Faults of ranges and of formulas filled along a row or column: totals, anchors, a line under the line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import NamedTuple

from quotebook.values import Address
from quotebook.workbook.changes import Change, NewFormula, NewInput
from tests.faults.fault import Fault, formula_fault, is_free, shuffled
from tests.faults.ground import Ground
from tests.faults.pieces import Piece, Ref, arguments, joined, pieces_of, ref_of

_TOTALS = ("SUM(", "AVERAGE(", "MAX(", "COUNT(", "SUMPRODUCT(")


class _Block(NamedTuple):
    """Ranges of equal shape that one function reads: their places among the pieces, and what they point to."""

    places: tuple[int, ...]
    refs: tuple[Ref, ...]

    @property
    def length(self) -> int:
        ref = self.refs[0]
        return max((ref.last_row or ref.row) - ref.row, (ref.last_column or ref.column) - ref.column) + 1

    @property
    def down(self) -> bool:
        return self.refs[0].last_column == self.refs[0].column


def short_total(ground: Ground, draw: Random) -> Fault | None:
    """A total whose range loses its first line, its last filled line, or two lines."""
    for cell in shuffled(draw, ground.live):
        pieces = pieces_of(ground.book.formulas[cell])
        blocks = [block for block in _blocks(ground, cell, pieces) if block.length >= 3]
        if not blocks or not is_free(ground, cell):
            continue
        block = draw.choice(blocks)
        filled = max((n for n in range(block.length) if _filled(ground, cell, block, n)), default=block.length - 1)
        first, last = draw.choice(((1, block.length - 1), (0, filled - 1), (0, filled - 2), (2, block.length - 1)))
        if last < first:
            continue
        cut = tuple(_part(ref, first, last, block.down) for ref in block.refs)
        return formula_fault(ground, cell, _with(pieces, block, cut), "range cut short")
    return None


def greedy_total(ground: Ground, draw: Random) -> Fault | None:
    """A sum whose range takes in a number above or below it, the next column, or the total itself."""
    for cell in shuffled(draw, ground.live):
        pieces = pieces_of(ground.book.formulas[cell])
        blocks = [b for b in _blocks(ground, cell, pieces, ("SUM(",)) if len(b.refs) == 1 and b.length >= 2]
        if not blocks or not is_free(ground, cell):
            continue
        block = draw.choice(blocks)
        wider = [ref for ref in _wider(block) if _takes_number(ground, cell, block.refs[0], ref)]
        if not wider:
            continue
        # The total itself makes a loop, which any program reports: taken only now and then.
        loops = [ref for ref in wider if cell in ref.cells(cell.sheet)]
        plain = [ref for ref in wider if ref not in loops]
        if not plain and draw.random() < 0.7:
            continue
        return formula_fault(
            ground, cell, _with(pieces, block, (draw.choice(plain or loops),)), "range takes in a foreign number"
        )
    return None


def lost_anchor(ground: Ground, draw: Random) -> Fault | None:
    """A fixed reference made relative in the first cell of a run and filled along it."""
    return _filled_along(ground, draw, fix=False)


def stuck_anchor(ground: Ground, draw: Random) -> Fault | None:
    """A relative reference fixed in the first cell of a run and filled along it."""
    return _filled_along(ground, draw, fix=True)


def line_below(ground: Ground, draw: Random) -> Fault | None:
    """A cost line typed where the total or the table does not reach."""
    return _below_table(ground, draw) if ground.fields else _below_total(ground, draw)


# -- ranges ---------------------------------------------------------------------------------------


def _blocks(
    ground: Ground, cell: Address, pieces: list[Piece], functions: tuple[str, ...] = _TOTALS
) -> Iterator[_Block]:
    for function, piece in enumerate(pieces):
        if piece.kind != "function" or piece.bare.upper() not in functions:
            continue
        together = piece.bare.upper() == "SUMPRODUCT("
        places, found = [], []
        for begin, end in arguments(pieces, function):
            ref = _range(ground, pieces[begin]) if end == begin + 1 else None
            if ref is not None:
                places.append(begin)
                found.append(ref)
                if not together:
                    yield _Block((begin,), (ref,))
        if together and found and len(found) == len(arguments(pieces, function)):
            yield _Block(tuple(places), tuple(found))


def _range(ground: Ground, piece: Piece) -> Ref | None:
    """Return the range, one line wide, that a piece is or names."""
    if piece.kind == "ref":
        ref = ref_of(piece)
    else:
        area = ground.name_areas.get(piece.bare.casefold()) if piece.kind == "name" else None
        if area is None:
            return None
        title, row, column, rows, columns = area
        sheet = "'" + title.replace("'", "''") + "'!"
        ref = Ref(sheet, row, column, True, True, row + rows - 1, column + columns - 1, True, True)
    if not ref.is_range or (ref.last_row != ref.row and ref.last_column != ref.column):
        return None
    return ref


def _part(ref: Ref, first: int, last: int, down: bool) -> Ref:
    if down:
        return replace(ref, row=ref.row + first, last_row=ref.row + last)
    return replace(ref, column=ref.column + first, last_column=ref.column + last)


def _filled(ground: Ground, cell: Address, block: _Block, number: int) -> bool:
    return all(
        ground.number(each) for ref in block.refs for each in _part(ref, number, number, block.down).cells(cell.sheet)
    )


def _with(pieces: list[Piece], block: _Block, new: tuple[Ref, ...]) -> str:
    changed = list(pieces)
    for place, ref in zip(block.places, new, strict=True):
        changed[place] = Piece("ref", ref.text)
    return joined(changed)


def _wider(block: _Block) -> list[Ref]:
    """Return the range lengthened by up to three cells at either end, or widened by one line."""
    ref = block.refs[0]
    last_row, last_column = ref.last_row or ref.row, ref.last_column or ref.column
    if block.down:
        ways = [replace(ref, row=ref.row - n) for n in (1, 2, 3)]
        ways += [replace(ref, last_row=last_row + n) for n in (1, 2)]
        ways += [replace(ref, column=ref.column - 1), replace(ref, last_column=last_column + 1)]
    else:
        ways = [replace(ref, column=ref.column - n) for n in (1, 2)]
        ways += [replace(ref, last_column=last_column + 1), replace(ref, row=ref.row - 1)]
    return [each for each in ways if each.row >= 1 and each.column >= 1]


def _takes_number(ground: Ground, cell: Address, old: Ref, new: Ref) -> bool:
    added = set(new.cells(cell.sheet)) - set(old.cells(cell.sheet))
    return any(ground.number(each) for each in added)


# -- runs -----------------------------------------------------------------------------------------


def _filled_along(ground: Ground, draw: Random, fix: bool) -> Fault | None:
    for cell in shuffled(draw, ground.live):
        across = draw.random() < 0.5
        run = ground.run(cell, across)
        if len(run) < 3:
            across = not across
            run = ground.run(cell, across)
        if len(run) < 3 or not all(is_free(ground, each) for each in run):
            continue
        parts = {each: pieces_of(ground.book.formulas[each]) for each in run}
        if len({len(each) for each in parts.values()}) != 1:
            continue
        first = parts[run[0]]
        places = [place for place in range(len(first)) if _anchor(ground, first[place], across) is (not fix)]
        if not places:
            continue
        place = draw.choice(places)
        ref = _as_ref(ground, first[place])
        assert ref is not None, "it has an anchor or lacks one"
        changes: dict[Address, Change] = {}
        for step, each in enumerate(run):
            new = _fixed(ref, across) if fix else _loosened(ref, across, step)
            text = joined([*parts[each][:place], Piece("ref", new.text), *parts[each][place + 1 :]])
            changes[each] = NewFormula(text, ground.values.get(each))
        last = run[-1]
        new_last = changes[last]
        assert isinstance(new_last, NewFormula), "all of them are"
        return Fault(
            tuple(run), changes, f"={ground.book.formulas[last]}", f"={new_last.text}",
            f"{'fixed' if fix else 'loosened'} {'across' if across else 'down'}, last cell shown",
        )  # fmt: skip
    return None


def _as_ref(ground: Ground, piece: Piece) -> Ref | None:
    if piece.kind == "ref":
        return ref_of(piece)
    area = ground.name_areas.get(piece.bare.casefold()) if piece.kind == "name" else None
    if area is None:
        return None
    sheet = "'" + area[0].replace("'", "''") + "'!"
    ref = Ref(sheet, area[1], area[2], True, True)
    if area[3:] == (1, 1):
        return ref
    return replace(
        ref, last_row=area[1] + area[3] - 1, last_column=area[2] + area[4] - 1, last_fixed_row=True,
        last_fixed_column=True,
    )  # fmt: skip


def _anchor(ground: Ground, piece: Piece, across: bool) -> bool | None:
    """Return whether a piece is fixed along the run, None if it is no reference."""
    ref = _as_ref(ground, piece)
    if ref is None:
        return None
    return ref.fixed_column if across else ref.fixed_row


def _fixed(ref: Ref, across: bool) -> Ref:
    if across:
        return replace(ref, fixed_column=True, last_fixed_column=True)
    return replace(ref, fixed_row=True, last_fixed_row=True)


def _loosened(ref: Ref, across: bool, step: int) -> Ref:
    if across:
        return replace(ref, fixed_column=False, last_fixed_column=False).moved(0, step)
    return replace(ref, fixed_row=False, last_fixed_row=False).moved(step, 0)


# -- a line below the line ------------------------------------------------------------------------


def _below_total(ground: Ground, draw: Random) -> Fault | None:
    for cell in shuffled(draw, ground.live):
        for block in _blocks(ground, cell, pieces_of(ground.book.formulas[cell]), ("SUM(",)):
            ref = block.refs[0]
            last = ref.last_row or ref.row
            if not block.down or block.length < 3 or ref.title(cell.sheet) != cell.sheet or ref.column != cell.column:
                continue
            label = _label_column(ground, ref, cell.sheet)
            rows = [last + 1, cell.row + 1]
            spots = [row for row in rows if _room(ground, cell.sheet, row, (label, ref.column))]
            total = ground.number(cell) or 0.0
            if label is None or not spots or not total:
                continue
            row, amount = draw.choice(spots), float(round(total * draw.uniform(0.05, 0.25), 2))
            new = Address(cell.sheet, row, ref.column)
            changes: dict[Address, Change] = {
                Address(cell.sheet, row, label): NewInput(draw.choice(("Extra tooling", "Rush delivery", "Gauge"))),
                new: NewInput(amount),
            }
            return Fault(
                tuple(changes), changes, "", repr(amount), f"outside of the total at {cell}", also=(cell,),
                left_out=amount,
            )  # fmt: skip
    return None


def _label_column(ground: Ground, ref: Ref, title: str) -> int | None:
    for column in range(ref.column - 1, 0, -1):
        if isinstance(ground.values.get(Address(title, ref.row, column)), str):
            return column
    return None


def _room(ground: Ground, title: str, row: int, columns: tuple[int | None, ...]) -> bool:
    return all(column is not None and ground.blank(Address(title, row, column)) for column in columns)


def _below_table(ground: Ground, draw: Random) -> Fault | None:
    """Copy the last filled line of a table of the contract to the row below the table's end."""
    key = draw.choice(("operation_number", "nonrecurring_description", "buyout_name"))
    area = ground.name_areas.get(key)
    if area is None:
        return None
    title, top, _, rows, _ = area
    filled = [row for row in range(top, top + rows) if ground.values.get(Address(title, row, area[2])) is not None]
    below = top + rows
    if not filled:
        return None
    inputs = [
        cell for cell in ground.book.inputs if cell.sheet == title and cell.row == filled[-1] and cell in ground.fields
    ]
    if not inputs or not all(ground.blank(cell._replace(row=below)) for cell in inputs):
        return None
    changes: dict[Address, Change] = {cell._replace(row=below): NewInput(ground.values[cell]) for cell in inputs}
    also = tuple(Address(title, row, cell.column) for cell in inputs for row in (filled[-1], below - 1))
    return Fault(tuple(changes), changes, "", f"row {below}", "below the end of the table", also=also, left_out=0.0)
