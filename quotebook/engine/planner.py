"""A book's formulas compiled once: what can be computed, in which order, and what cannot and why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from quotebook.clock import tick
from quotebook.engine import graph
from quotebook.engine.book import FormulaBook, Result, Status
from quotebook.engine.emit import Constants, Emitter, Move
from quotebook.engine.filled_down import row_free
from quotebook.engine.parse import parse
from quotebook.engine.plan import Plan, Spread, Step, Templates, places_out
from quotebook.engine.scope import Scope, array_members
from quotebook.engine.tokens import FormulaTrouble
from quotebook.engine.unit import Unit
from quotebook.values import Address

#: Steps of a circular path that a reason shows.
LONGEST_PATH = 20
#: Python's own parser stops at 200 nested brackets.
DEEPEST_SOURCE = 150


def plan_book(book: FormulaBook) -> Plan:
    """Return the plan of a book: formulas read, ordered, and turned into templates and steps."""
    scope, constants = Scope(book), Constants()
    members = array_members(book)
    filled = _FilledDown(scope)
    units = [_unit(scope, constants, cell, formula, book, filled) for cell, formula in book.formulas.items()]
    known = set(book.formulas)
    units += [Unit(cell, trouble=reason) for cell, reason in book.opaque.items() if cell not in known]
    network = _network(scope, units, members)
    order, loops = graph.in_order(network)
    troubles = _troubles(network, units, loops)
    tainted = network.reached(sorted(troubles))
    volatile = {number for number, unit in enumerate(units) if unit.volatile}
    volatile |= set(network.reached(sorted(volatile)))
    computed = [n for n in order if n not in troubles and n not in tainted]
    fixed: dict[int, Result] = {}
    for number, reason in troubles.items():
        fixed[number] = Result(Status.NOT_EVALUATED, reason=reason, volatile=number in volatile)
    for number, root in tainted.items():
        if number not in fixed:
            fixed[number] = _dependent(units[root].cell, troubles[root], number in volatile)
    cells_of = _cells_of(units, members)
    templates = Templates()
    spreads = {
        n: _spread(scope, units[n].cell, book.arrays[units[n].cell]) for n in computed if units[n].cell in book.arrays
    }
    steps = tuple(_steps(units, computed, templates, spreads))
    result_slots = {number: scope.slot(units[number].cell) for number in computed}
    return Plan(
        areas=tuple(scope.areas),
        known=_known_cells(scope),
        slots=tuple(scope.slots),
        constants=constants.values,
        templates=tuple(templates.found),
        steps=steps,
        spreads=spreads,
        cells=tuple(tuple(cells_of[number]) for number in range(len(units))),
        result_slots=result_slots,
        fixed=fixed,
        volatile=frozenset(volatile),
        precedents=network.precedents,
        date1904=book.date1904,
    )


def _steps(units: list[Unit], computed: list[int], templates: Templates, spreads: dict[int, Spread]) -> Iterator[Step]:
    """Yield the steps in order; an area is read just before the first formula that uses it."""
    read: set[int] = set()
    for number in computed:
        unit = units[number]
        for area in sorted(unit.areas - read):
            read.add(area)
            yield Step(-1 - area, -1, ())
        kind = "a" if number in spreads else unit.kind if unit.kind in ("n", "t", "b") else "v"
        yield Step(number, templates.number(kind, unit.source), unit.places)


def _spread(scope: Scope, first: Address, last: Address) -> Spread:
    rows, columns = range(first.row, last.row + 1), range(first.column, last.column + 1)
    slots = tuple(scope.slot(Address(first.sheet, row, column)) for row in rows for column in columns)
    return Spread(slots, len(rows), len(columns))


def _known_cells(scope: Scope) -> dict[int, dict[tuple[int, int], int]]:
    """Return the slots of formula cells inside of each area that is read openly."""
    return {
        number: {(cell.row, cell.column): scope.slot(cell) for cell in scope.formulas_inside(area)}
        for number, area in enumerate(scope.areas)
        if area.slots is None
    }


def _dependent(root: Address, reason: str, volatile: bool) -> Result:
    return Result(Status.DEPENDS_ON_NOT_EVALUATED, reason=f"depends on {root}: {reason}", volatile=volatile)


class _FilledDown:
    """Formulas that others are, filled down: those are given by moving places, without being read."""

    def __init__(self, scope: Scope) -> None:
        self.scope = scope
        self.known: dict[tuple[str, str], tuple[Unit, dict[int, Move]]] = {}

    def keep(self, key: tuple[str, str], unit: Unit, moves: dict[int, Move]) -> None:
        """Keep a formula whose expression depends on its row through its places alone."""
        if not unit.trouble and set(moves) >= set(unit.places):
            self.known[key] = unit, moves

    def moved(self, key: tuple[str, str], cell: Address) -> Unit | None:
        """Return the formula of a cell; None where its like is not known, or two of its places fell together."""
        kept = self.known.get(key)
        if kept is None:
            return None
        unit, moves = kept
        down, scope = cell.row - unit.cell.row, self.scope
        cells: set[Address] = set()
        areas: set[int] = set()
        places: dict[int, int] = {}
        for place, move in moves.items():
            top = move.top + (0 if move.top_fixed else down)
            bottom = move.bottom + (0 if move.bottom_fixed else down)
            if place > 0:
                read = Address(move.sheet, top, move.left)
                cells.add(read)
                places[place] = scope.slot(read)
            elif top == bottom and move.left == move.right:
                return None
            else:
                number = scope.area(move.sheet, min(top, bottom), move.left, max(top, bottom), move.right)
                areas.add(number)
                places[place] = -1 - number
        if len(set(places.values())) != len(places):
            return None
        found = tuple([places[place] for place in unit.places])
        return Unit(cell, unit.source, found, unit.kind, cells, areas, unit.volatile)


def _unit(
    scope: Scope, constants: Constants, cell: Address, formula: str, book: FormulaBook, filled: _FilledDown
) -> Unit:
    tick()
    if cell in book.opaque:
        return Unit(cell, trouble=book.opaque[cell])
    last = book.arrays.get(cell)
    if last is not None and cell not in array_members(book):
        return Unit(cell, trouble=f"an array formula down to {last} is too large")
    key = (cell.sheet, row_free(formula, cell.row))
    moved = filled.moved(key, cell) if last is None else None
    if moved is not None:
        return moved
    emitter = Emitter(scope, constants, cell, array=last is not None)
    try:
        code = emitter.formula(parse(formula.removeprefix("=")))
    except FormulaTrouble as trouble:
        return Unit(cell, cells=emitter.cells, areas=emitter.areas, volatile=emitter.volatile, trouble=str(trouble))
    unit = Unit(cell, *places_out(code.source), code.kind, emitter.cells, emitter.areas, emitter.volatile)
    unit.reaches = emitter.reaches
    if _depth(code.source) > DEEPEST_SOURCE:
        unit.trouble = "nested too deep"
    if not emitter.stays:
        filled.keep(key, unit, emitter.moves)
    return unit


def _depth(source: str) -> int:
    deepest = depth = 0
    if source.count("(") < DEEPEST_SOURCE:
        return 0
    for character in source:
        if character == "(":
            depth += 1
            deepest = max(deepest, depth)
        elif character == ")":
            depth -= 1
    return deepest


def _network(scope: Scope, units: list[Unit], members: dict[Address, Address]) -> graph.Graph:
    number_of = {unit.cell: number for number, unit in enumerate(units)}
    for cell, first in members.items():
        if first in number_of:
            number_of.setdefault(cell, number_of[first])
    count = len(units)
    precedents: list[Iterable[int]] = []
    for unit in units:
        direct = {number_of[cell] for cell in unit.cells if cell in number_of}
        precedents.append(sorted(direct | {count + area for area in unit.areas}))
    for area in scope.areas:
        inside = {number_of[cell] for cell in scope.formulas_inside(area) if cell in number_of}
        precedents.append(sorted(inside))
    return graph.build(precedents, count)


def _troubles(network: graph.Graph, units: list[Unit], loops: list[list[int]]) -> dict[int, str]:
    troubles = {number: unit.trouble for number, unit in enumerate(units) if unit.trouble}
    for loop in loops:
        reaching = next((units[number].cell for number in loop if units[number].reaches), None)
        if reaching is not None:
            reason = (
                f"the OFFSET or INDIRECT in {reaching} works out which cell it reads; "
                "beforehand nobody can tell whether that one depends on itself"
            )
            troubles.update({number: reason for number in loop if number not in troubles})
            continue
        for number, path in graph.loop_paths(network, loop).items():
            shown = path if len(path) <= LONGEST_PATH else [*path[: LONGEST_PATH - 2], None, path[-1]]
            steps = [f"{len(path) - LONGEST_PATH + 1} more" if s is None else str(units[s].cell) for s in shown]
            troubles.setdefault(number, f"circular reference: {' -> '.join(steps)}")
    return troubles


def _cells_of(units: list[Unit], members: dict[Address, Address]) -> dict[int, list[Address]]:
    cells = {number: [unit.cell] for number, unit in enumerate(units)}
    own = {unit.cell: number for number, unit in enumerate(units)}
    for cell, first in members.items():
        if cell not in own and first in own:
            cells[own[first]].append(cell)
    return cells
