"""A book's formulas compiled once to one Python program.

The source of the program is made of our own names and numbers only (see ``emit``); no character of a formula
reaches it.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Any

from quotebook.engine import convert, graph, operators, runtime
from quotebook.engine.arrays import Ref
from quotebook.engine.book import FormulaBook, Result, Status
from quotebook.engine.emit import Constants, Emitter
from quotebook.engine.parse import parse
from quotebook.engine.program import Program
from quotebook.engine.scope import Area, Scope, array_members
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address

#: Formulas in one generated function; one huge function compiles more slowly.
CHUNK = 400
#: Python's own parser stops at 200 nested brackets.
DEEPEST_SOURCE = 150

_RUNTIME: tuple[str, ...] = (
    "one",
    "spread",
    "fill",
    "if_error",
    "if_na",
    "choose",
    "switch",
    "not_available",
    "if_array",
)
_RUNTIME += ("replace_error", "replace_na", "without")
_OPERATORS: tuple[str, ...] = (
    "add",
    "subtract",
    "multiply",
    "divide",
    "power",
    "negate",
    "percent",
    "plus",
    "join",
    "chain",
    "order",
)
_OPERATORS += ("equal", "unequal", "less", "greater", "at_most", "at_least", "lift")
_CONVERT = ("number", "text", "truth", "scalar", "caught")


@dataclass(slots=True)
class _Unit:
    """One formula: its source, or the reason why there is none."""

    cell: Address
    source: str = ""
    kind: str = "v"
    cells: set[Address] = field(default_factory=set)
    areas: set[int] = field(default_factory=set)
    volatile: bool = False
    trouble: str = ""


def compile_book(book: FormulaBook) -> Program:
    """Return the program of a book's formulas, from the cache when the same formulas were compiled before."""
    from quotebook.engine.normal import text_digest

    digest = text_digest(book)
    program = _PROGRAMS.get(digest)
    if program is None:
        program = compile_new(book)
        _PROGRAMS[digest] = program
        while len(_PROGRAMS) > MOST_PROGRAMS:
            _PROGRAMS.popitem(last=False)
    else:
        _PROGRAMS.move_to_end(digest)
    return program


#: Compiled programs kept in this process, the latest used last.
MOST_PROGRAMS = 16
_PROGRAMS: OrderedDict[str, Program] = OrderedDict()


def compile_new(book: FormulaBook) -> Program:
    """Return a freshly compiled program, whatever the cache holds."""
    scope, constants = Scope(book), Constants()
    members = array_members(book)
    units = [_unit(scope, constants, cell, formula, book) for cell, formula in book.formulas.items()]
    known = set(book.formulas)
    units += [_Unit(cell, trouble=reason) for cell, reason in book.opaque.items() if cell not in known]
    network = _network(scope, units, members)
    order, loops = graph.in_order(network)
    troubles = _troubles(network, units, loops)
    tainted = network.reached(sorted(troubles))
    volatile = {number for number, unit in enumerate(units) if unit.volatile}
    volatile |= set(network.reached(sorted(volatile)))
    computed = [n for n in order if n not in troubles and n not in tainted]
    source = _Source(scope, constants, units, book.arrays)
    functions = source.functions(computed)
    fixed: dict[int, Result] = {}
    for number, reason in troubles.items():
        fixed[number] = Result(Status.NOT_EVALUATED, reason=reason, volatile=number in volatile)
    for number, root in tainted.items():
        if number not in fixed:
            fixed[number] = _dependent(units[root].cell, troubles[root], number in volatile)
    cells_of = _cells_of(units, members)
    return Program(
        slots=scope.slots,
        areas=len(scope.areas),
        functions=functions,
        cells=[cells_of[number] for number in range(len(units))],
        result_slots={number: scope.slot(units[number].cell) for number in computed},
        fixed=fixed,
        volatile=frozenset(volatile),
        network=network,
        date1904=book.date1904,
        needs_inputs=any(area.slots is None for area in scope.areas),
        source=source.text,
    )


def _dependent(root: Address, reason: str, volatile: bool) -> Result:
    return Result(Status.DEPENDS_ON_NOT_EVALUATED, reason=f"depends on {root}: {reason}", volatile=volatile)


def _unit(scope: Scope, constants: Constants, cell: Address, formula: str, book: FormulaBook) -> _Unit:
    if cell in book.opaque:
        return _Unit(cell, trouble=book.opaque[cell])
    last = book.arrays.get(cell)
    if last is not None and cell not in array_members(book):
        return _Unit(cell, trouble=f"an array formula down to {last} is too large")
    emitter = Emitter(scope, constants, cell, array=last is not None)
    try:
        code = emitter.formula(parse(formula.removeprefix("=")))
    except FormulaTrouble as trouble:
        return _Unit(cell, cells=emitter.cells, areas=emitter.areas, volatile=emitter.volatile, trouble=str(trouble))
    unit = _Unit(cell, code.source, code.kind, emitter.cells, emitter.areas, emitter.volatile)
    if _depth(code.source) > DEEPEST_SOURCE:
        unit.trouble = "nested too deep"
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


def _network(scope: Scope, units: list[_Unit], members: dict[Address, Address]) -> graph.Graph:
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


def _troubles(network: graph.Graph, units: list[_Unit], loops: list[list[int]]) -> dict[int, str]:
    troubles = {number: unit.trouble for number, unit in enumerate(units) if unit.trouble}
    for loop in loops:
        for number, path in graph.loop_paths(network, loop).items():
            steps = " -> ".join(str(units[step].cell) for step in path)
            troubles.setdefault(number, f"circular reference: {steps}")
    return troubles


def _cells_of(units: list[_Unit], members: dict[Address, Address]) -> dict[int, list[Address]]:
    cells = {number: [unit.cell] for number, unit in enumerate(units)}
    own = {unit.cell: number for number, unit in enumerate(units)}
    for cell, first in members.items():
        if cell not in own and first in own:
            cells[own[first]].append(cell)
    return cells


class _Source:
    """Generates and compiles the source."""

    def __init__(self, scope: Scope, constants: Constants, units: list[_Unit], arrays: Any) -> None:
        self.scope = scope
        self.constants = constants
        self.units = units
        self.arrays = arrays
        self.text = ""
        self.read: set[int] = set()

    def functions(self, computed: list[int]) -> list[Any]:
        """Return the compiled functions; called one after the other they compute the formulas in order."""
        chunks = [computed[start : start + CHUNK] for start in range(0, len(computed), CHUNK)]
        lines: list[str] = []
        for index, chunk in enumerate(chunks):
            lines.append(f"def run{index}(v, r, env, trouble):")
            for number in chunk:
                self.statement(lines, number)
        self.text = "\n".join(lines)
        namespace: dict[str, Any] = {"Ref": Ref, "__builtins__": {"Exception": Exception}}
        for module, names in ((runtime, _RUNTIME), (operators, _OPERATORS), (convert, _CONVERT)):
            namespace.update({name: getattr(module, name) for name in names})
        namespace.update(self.constants.values)
        namespace.update(self.getters())
        exec(compile(self.text, "<formulas>", "exec"), namespace)
        return [namespace[f"run{index}"] for index in range(len(chunks))]

    def statement(self, lines: list[str], number: int) -> None:
        unit = self.units[number]
        reads = []
        for area in sorted(unit.areas - self.read):
            self.read.add(area)
            reads.append(self.reading(area))
        lines.extend(f" {line}" for line in reads)
        slot = self.scope.slot(unit.cell)
        last = self.arrays.get(unit.cell)
        if last is None:
            value = unit.source
            if unit.kind not in ("n", "t", "b"):
                value = f"0.0 if (x := {value}) is None else x"
            lines.append(f" try: v[{slot}] = {value}")
            lines.append(f" except Exception as e: v[{slot}] = trouble({number}, e)")
            return
        first = unit.cell
        height, width = last.row - first.row + 1, last.column - first.column + 1
        rows, columns = range(first.row, last.row + 1), range(first.column, last.column + 1)
        slots = tuple(self.scope.slot(Address(first.sheet, row, column)) for row in rows for column in columns)
        name = self.constants.add(slots)
        lines.append(f" try: spread(v, {name}, {height}, {width}, {unit.source})")
        lines.append(f" except Exception as e: fill(v, {name}, trouble({number}, e))")

    def reading(self, area: int) -> str:
        rectangle = self.scope.areas[area]
        if rectangle.slots is None:
            return f"r[{area}] = g{area}(v, env)"
        height, width = rectangle.bottom - rectangle.top + 1, rectangle.right - rectangle.left + 1
        return f"r[{area}] = Ref({height}, {width}, g{area}(v))"

    def getters(self) -> dict[str, Any]:
        getters: dict[str, Any] = {}
        for number in self.read:
            area = self.scope.areas[number]
            getters[f"g{number}"] = self.open_area(area).read if area.slots is None else itemgetter(*area.slots)
        return getters

    def open_area(self, area: Area) -> runtime.OpenArea:
        known = {}
        for cell in self.scope.formulas_inside(area):
            known[cell.row, cell.column] = self.scope.slot(cell)
        return runtime.OpenArea(area.top, area.left, area.bottom, area.right, area.sheet, known)
