"""Faults inside one formula: terms, operators, tests, functions, signs, numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from random import Random

from quotebook.values import Address
from tests.faults.fault import Fault, formula_fault, is_free, shuffled
from tests.faults.ground import Ground
from tests.faults.pieces import COMPARISONS, Piece, arguments, exchanged, joined, pieces_of, ref_of, refs, sums

_OPERATORS = ("+", "-", "*", "/")
_FUNCTIONS = {
    "SUM": ("AVERAGE", "COUNT", "MAX"), "AVERAGE": ("SUM", "MAX"), "MAX": ("MIN", "SUM"), "MIN": ("MAX", "SUM"),
    "ROUND": ("ROUNDUP", "ROUNDDOWN"), "ROUNDUP": ("ROUND", "ROUNDDOWN"), "ROUNDDOWN": ("ROUNDUP",),
    "PRODUCT": ("SUM",), "COUNT": ("SUM",), "SUMPRODUCT": ("SUM",), "COUNTIF": ("SUMIF",), "MEDIAN": ("AVERAGE",),
}  # fmt: skip
#: An edit of one formula: the new text, or None where it has no place for it.
Edit = Callable[[Ground, Address, list[Piece], Random], str | None]


def planted_by(edit: Edit, note: str, tests: bool = False) -> Callable[[Ground, Random], Fault | None]:
    """Return the planter that tries an edit on formulas in a random order; ``tests``: also on cells that hold 0."""

    def plant(ground: Ground, draw: Random) -> Fault | None:
        cells = [cell for cell in ground.book.formulas if cell in ground.chain] if tests else ground.live
        for cell in shuffled(draw, cells):
            if not is_free(ground, cell):
                continue
            text = edit(ground, cell, pieces_of(ground.book.formulas[cell]), draw)
            if text is not None and text != ground.book.formulas[cell]:
                return formula_fault(ground, cell, text, note)
        return None

    return plant


def drop_term(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """One term of a sum, or one of several arguments of SUM, removed."""
    cuts: list[tuple[int, int]] = []
    for one in sums(pieces):
        signs = ["+", *(pieces[place].bare for place in one.operators)]
        for number, (begin, end) in enumerate(one.terms):
            if signs[number] != "+":
                continue
            if number:
                cuts.append((begin - 1, end))
            elif signs[1] == "+":
                cuts.append((begin, end + 1))
    for function in _functions(pieces, ("SUM(",)):
        found = arguments(pieces, function)
        cuts += [(begin - 1, end) for begin, end in found[1:]]
    if not cuts:
        return None
    begin, end = draw.choice(cuts)
    return joined([*pieces[:begin], *pieces[end:]])


def double_term(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A term counted again, or a cell of a total added behind it."""
    ways: list[str] = []
    for one in sums(pieces):
        for begin, end in one.terms:
            again = joined(pieces[begin:end])
            ways.append(joined([*pieces[: one.terms[-1][1]], Piece("new", f"+{again}"), *pieces[one.terms[-1][1] :]]))
    for function in _functions(pieces, ("SUM(",)):
        for begin, end in arguments(pieces, function):
            inside = [ref_of(each) for each in pieces[begin:end] if each.kind == "ref"]
            for ref in inside:
                filled = [each for each in ref.cells(cell.sheet) if ground.number(each)]
                if ref.is_range and filled:
                    one_cell = draw.choice(filled)
                    again = ref.moved(one_cell.row - ref.row, one_cell.column - ref.column)
                    text = again.text.partition(":")[0]
                    ways.append(joined([*pieces[:end], Piece("new", f",{text}"), *pieces[end:]]))
    return draw.choice(ways) if ways else None


def swap_operator(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """One of + - * / exchanged for another."""
    places = [i for i in _binary(pieces) if pieces[i].bare in _OPERATORS]
    if not places:
        return None
    place = draw.choice(places)
    return exchanged(pieces, place, draw.choice([each for each in _OPERATORS if each != pieces[place].bare]))


def swap_test(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A comparison turned, or AND and OR exchanged."""
    turned = {"<": (">", "<="), ">": ("<", ">="), "<=": (">=", "<"), ">=": ("<=", ">"), "=": ("<>",), "<>": ("=",)}
    ways = [(i, turned[p.bare]) for i, p in enumerate(pieces) if p.kind == "op" and p.bare in COMPARISONS]
    logic = {"AND(": ("OR(",), "OR(": ("AND(",)}
    ways += [(i, logic[p.bare.upper()]) for i, p in enumerate(pieces) if p.bare.upper() in logic]
    if not ways:
        return None
    place, choices = draw.choice(ways)
    return exchanged(pieces, place, draw.choice(choices))


def bury_rate(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A reference to a typed number replaced by that number."""
    places = []
    for index, piece in enumerate(pieces):
        target = _single(ground, cell, piece)
        if target is not None and target in ground.number_inputs:
            places.append((index, ground.number(target)))
    if not places:
        return None
    place, value = draw.choice(places)
    return exchanged(pieces, place, f"{value:.15g}")


def point_for_number(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A number inside a formula replaced by a pointer to a cell nearby."""
    places = [i for i, p in enumerate(pieces) if p.kind == "number" and float(p.bare) != 0]
    near = [
        each
        for each in ground.number_inputs
        if each.sheet == cell.sheet and abs(each.row - cell.row) <= 8 and abs(each.column - cell.column) <= 6
    ]
    if not places or not near:
        return None
    from quotebook.workbook.areas import cell_name

    target = draw.choice(near)
    return exchanged(pieces, draw.choice(places), cell_name(target.row, target.column))


def wrong_function(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """SUM for AVERAGE, ROUND for ROUNDUP and the like."""
    places = [i for i, p in enumerate(pieces) if p.kind == "function" and p.bare[:-1].upper() in _FUNCTIONS]
    if not places:
        return None
    place = draw.choice(places)
    return exchanged(pieces, place, draw.choice(_FUNCTIONS[pieces[place].bare[:-1].upper()]) + "(")


def stray_sign(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A minus or ABS before a term, or a power for a product."""
    ways: list[str] = []
    for index, piece in enumerate(pieces):
        before = pieces[index - 1].bare if index else ""
        if _single(ground, cell, piece) is not None and before in ("", "(", ",", "+", "*"):
            ways.append(exchanged(pieces, index, f"-{piece.bare}"))
            if draw.random() < 0.15:
                ways.append(exchanged(pieces, index, f"ABS({piece.bare})"))
        if piece.kind == "number" and before == "*" and float(piece.bare) <= 3:
            ways.append(exchanged(pieces, index - 1, "^"))
    return draw.choice(ways) if ways else None


def slip_pointer(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A reference moved by one row or one column."""
    ways = []
    for index, ref in refs(pieces):
        for rows, columns in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            moved = ref.moved(rows, columns)
            if moved.row >= 1 and moved.column >= 1 and cell not in moved.cells(cell.sheet):
                ways.append(exchanged(pieces, index, moved.text))
    for index, piece in enumerate(pieces):
        target = _single(ground, cell, piece) if piece.kind == "name" else None
        if target is not None:
            step = draw.choice((-1, 1))
            ways.append(exchanged(pieces, index, _written(target._replace(row=max(1, target.row + step)), cell)))
    return draw.choice(ways) if ways else None


def wrong_twin(ground: Ground, cell: Address, pieces: list[Piece], draw: Random) -> str | None:
    """A reference swapped for another cell of the same kind, two to twelve rows or columns away."""
    ways = []
    for index, piece in enumerate(pieces):
        target = _single(ground, cell, piece)
        if target is None or ground.number(target) is None:
            ways += [exchanged(pieces, index, other) for other in _twin_names(ground, piece)]
            continue
        for other in ground.number_inputs + ground.live:
            apart = abs(other.row - target.row) + abs(other.column - target.column)
            in_line = other.row == target.row or other.column == target.column
            alike = ground.format(other) == ground.format(target) and ground.number(other) != ground.number(target)
            if other.sheet == target.sheet and in_line and 2 <= apart <= 12 and alike and other != cell:
                ways.append(exchanged(pieces, index, _swapped(piece, target, other, cell)))
    return draw.choice(ways) if ways else None


def _twin_names(ground: Ground, piece: Piece) -> list[str]:
    """Return names of lists of the same shape and kind as the list that a piece names."""
    area = ground.name_areas.get(piece.bare.casefold()) if piece.kind == "name" else None
    if area is None:
        return []
    kind = ground.fields.get(Address(area[0], area[1], area[2]), ("", "", ""))
    return [
        field[0]
        for name, other in ground.name_areas.items()
        if other != area and (other[0], other[1], other[3], other[4]) == (area[0], area[1], area[3], area[4])
        for field in [ground.fields.get(Address(other[0], other[1], other[2]), ("", "", ""))]
        if field[0].casefold() == name and field[1:] == kind[1:]
    ]


def _swapped(piece: Piece, target: Address, other: Address, cell: Address) -> str:
    if piece.kind == "ref":
        return ref_of(piece).moved(other.row - target.row, other.column - target.column).text
    return _written(other, cell)


def _written(target: Address, cell: Address) -> str:
    from quotebook.values import column_letters

    place = f"${column_letters(target.column)}${target.row}"
    if target.sheet == cell.sheet:
        return place
    title = target.sheet.replace("'", "''")
    return f"'{title}'!{place}"


def _single(ground: Ground, cell: Address, piece: Piece) -> Address | None:
    """Return the one cell that a piece stands for, or None."""
    if piece.kind == "ref":
        ref = ref_of(piece)
        return None if ref.is_range else ref.cell(cell.sheet)
    area = ground.name_areas.get(piece.bare.casefold()) if piece.kind == "name" else None
    return Address(*area[:3]) if area is not None and area[3:] == (1, 1) else None


def _binary(pieces: Sequence[Piece]) -> list[int]:
    """Return the places of operators between two operands."""
    return [
        i
        for i, p in enumerate(pieces)
        if p.kind == "op" and i and (pieces[i - 1].kind not in ("op", "function") or pieces[i - 1].bare in (")", "%"))
    ]


def _functions(pieces: Sequence[Piece], names: tuple[str, ...]) -> list[int]:
    return [i for i, p in enumerate(pieces) if p.kind == "function" and p.bare.upper() in names]
