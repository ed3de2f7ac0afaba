"""Formulas, already turned into expressions, put together to Python functions.

The source is made of our own names and numbers only (see ``emit``); no character of a formula reaches it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Any

from quotebook.engine import convert, operators, runtime
from quotebook.engine.arrays import Ref
from quotebook.engine.emit import Constants
from quotebook.engine.functions import lookup
from quotebook.engine.program import RunFunction
from quotebook.engine.scope import Area, Scope
from quotebook.values import Address

#: Formulas in one generated function; one huge function compiles more slowly.
CHUNK = 400

#: What generated programs may call beside the registered functions, by the module it comes from.
_CALLABLE = {
    runtime: "one spread fill if_error if_na choose switch not_available if_array replace_error replace_na without",
    convert: "number text truth scalar caught",
    operators: "add subtract multiply divide power negate percent plus join chain lift lift2 "
    "equal unequal less greater at_most at_least",
    lookup: "index_value",
}


@dataclass(slots=True)
class Unit:
    """One formula: its source, or the reason why there is none."""

    cell: Address
    source: str = ""
    kind: str = "v"
    cells: set[Address] = field(default_factory=set)
    areas: set[int] = field(default_factory=set)
    volatile: bool = False
    trouble: str = ""


class Source:
    """Generates and compiles the source."""

    def __init__(
        self, scope: Scope, constants: Constants, units: list[Unit], arrays: Mapping[Address, Address]
    ) -> None:
        self.scope = scope
        self.constants = constants
        self.units = units
        self.arrays = arrays
        self.text = ""
        self.read: set[int] = set()

    def functions(self, computed: list[int]) -> list[RunFunction]:
        """Return the compiled functions; called one after the other they compute the formulas in order."""
        chunks = [computed[start : start + CHUNK] for start in range(0, len(computed), CHUNK)]
        lines: list[str] = []
        for index, chunk in enumerate(chunks):
            lines.append(f"def run{index}(v, r, env, trouble):")
            for number in chunk:
                self._statement(lines, number)
        self.text = "\n".join(lines)
        namespace: dict[str, Any] = {"Ref": Ref, "__builtins__": {"Exception": Exception}}
        for module, names in _CALLABLE.items():
            namespace.update({name: getattr(module, name) for name in names.split()})
        namespace.update(self.constants.values)
        namespace.update(self._getters())
        exec(compile(self.text, "<formulas>", "exec"), namespace)
        return [namespace[f"run{index}"] for index in range(len(chunks))]

    def _statement(self, lines: list[str], number: int) -> None:
        unit = self.units[number]
        reads = []
        for area in sorted(unit.areas - self.read):
            self.read.add(area)
            reads.append(self._reading(area))
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

    def _reading(self, area: int) -> str:
        rectangle = self.scope.areas[area]
        if rectangle.slots is None:
            return f"r[{area}] = g{area}(v, env)"
        height, width = rectangle.bottom - rectangle.top + 1, rectangle.right - rectangle.left + 1
        return f"r[{area}] = Ref({height}, {width}, g{area}(v))"

    def _getters(self) -> dict[str, Any]:
        getters: dict[str, Any] = {}
        for number in self.read:
            area = self.scope.areas[number]
            getters[f"g{number}"] = self._open_area(area).read if area.slots is None else itemgetter(*area.slots)
        return getters

    def _open_area(self, area: Area) -> runtime.OpenArea:
        known = {}
        for cell in self.scope.formulas_inside(area):
            known[cell.row, cell.column] = self.scope.slot(cell)
        return runtime.OpenArea(area.top, area.left, area.bottom, area.right, area.sheet, known)
