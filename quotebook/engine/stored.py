"""A plan as JSON text and back.

The text holds data and expressions, no objects. Reading trusts nothing: expressions must consist of the closed
vocabulary of ``link``, numbers of places must exist, and anything odd makes the whole text worthless.
"""

from __future__ import annotations

import json
from typing import Any

from quotebook.engine.arrays import Array
from quotebook.engine.book import Result, Status
from quotebook.engine.plan import Area, Constant, Lifted, Plan, Spread, Step, Template
from quotebook.engine.registry import functions
from quotebook.values import Address, ErrorValue, Value

FORMAT = 1


def to_text(plan: Plan) -> str:
    """Return a plan as JSON."""
    sheets = {title: n for n, title in enumerate(sorted({c.sheet for c in plan.slots} | {a.sheet for a in plan.areas}))}
    for cells in plan.cells:
        for cell in cells:
            sheets.setdefault(cell.sheet, len(sheets))

    def cell_of(cell: Address) -> list[int]:
        return [sheets[cell.sheet], cell.row, cell.column]

    data = {
        "format": FORMAT,
        "sheets": list(sheets),
        "slots": [cell_of(cell) for cell in plan.slots],
        "areas": [[sheets[a.sheet], a.top, a.left, a.bottom, a.right, a.slots] for a in plan.areas],
        "known": {n: [[*place, slot] for place, slot in inside.items()] for n, inside in plan.known.items()},
        "constants": {name: _constant_data(value) for name, value in plan.constants.items()},
        "templates": plan.templates,
        "steps": plan.steps,
        "spreads": plan.spreads,
        "cells": [[cell_of(cell) for cell in cells] for cells in plan.cells],
        "result_slots": plan.result_slots,
        "fixed": {n: [r.status.name, r.reason, r.volatile] for n, r in plan.fixed.items()},
        "volatile": sorted(plan.volatile),
        "precedents": plan.precedents,
        "date1904": plan.date1904,
    }
    return json.dumps(data, separators=(",", ":"))


def from_text(text: str) -> Plan:
    """Return the plan that a text holds. Errors: ValueError (also KeyError, TypeError) for any other text."""
    from quotebook.engine.link import is_clean

    data = json.loads(text)
    if data["format"] != FORMAT:
        raise ValueError("another format")
    sheets = data["sheets"]
    templates = tuple([Template(*each) for each in data["templates"]])
    if not is_clean(templates):
        raise ValueError("an expression holds something foreign")
    cells = tuple([tuple([Address(sheets[s], r, c) for s, r, c in filled]) for filled in data["cells"]])
    plan = Plan(
        slots=tuple([Address(sheets[s], row, column) for s, row, column in data["slots"]]),
        areas=tuple([_area(sheets, *each) for each in data["areas"]]),
        known={int(n): {(row, column): slot for row, column, slot in known} for n, known in data["known"].items()},
        constants={name: _constant(each) for name, each in data["constants"].items()},
        templates=templates,
        steps=tuple([Step(number, template, tuple(places)) for number, template, places in data["steps"]]),
        spreads={int(n): Spread(tuple(slots), *shape) for n, (slots, *shape) in data["spreads"].items()},
        cells=cells,
        result_slots={int(number): slot for number, slot in data["result_slots"].items()},
        fixed={int(n): Result(Status[s], None, reason, volatile) for n, (s, reason, volatile) in data["fixed"].items()},
        volatile=frozenset(data["volatile"]),
        precedents=tuple(map(tuple, data["precedents"])),
        date1904=data["date1904"],
    )
    _require_places(plan)
    return plan


def _area(sheets: list[str], sheet: int, top: int, left: int, bottom: int, right: int, slots: list[int] | None) -> Area:
    return Area(sheets[sheet], top, left, bottom, right, None if slots is None else tuple(slots))


def _require_places(plan: Plan) -> None:
    least, most = -len(plan.areas), len(plan.slots)
    for number, template, places in plan.steps:
        if number >= len(plan.cells) or template >= len(plan.templates):
            raise ValueError("a step that does not exist")
        if places and not (least <= min(places) and max(places) <= most):
            raise ValueError("a place that does not exist")


def _constant_data(value: Constant) -> list[Any]:
    if isinstance(value, Lifted):
        return ["lifted", value.name, value.kinds]
    if isinstance(value, Array):
        return ["array", value.height, value.width, [_constant_data(each) for each in value.flat]]
    if isinstance(value, ErrorValue):
        return ["error", value.name]
    if isinstance(value, tuple):
        return ["pairs", value]
    return ["value", value]


def _constant(data: list[Any]) -> Constant:
    kind, *rest = data
    if kind == "lifted":
        name, kinds = rest
        if name not in functions():
            raise ValueError("a function outside of the allow-list")
        return Lifted(name, tuple(kinds))
    if kind == "array":
        height, width, flat = rest
        values: list[Value] = [_value(each) for each in flat]
        return Array(height, width, tuple(values))
    if kind == "pairs":
        return tuple([(row, column) for row, column in rest[0]])
    return _value(data)


def _value(data: list[Any]) -> Value:
    kind, value = data
    if kind == "error":
        return ErrorValue[value]
    if kind != "value" or not (value is None or isinstance(value, float | str | bool)):
        raise ValueError("a constant of an unknown kind")
    return value
