"""A plan turned into Python functions.

The source is made of our own names and numbers only (see ``emit``); no character of a formula reaches it. A plan that
comes from a file is held against the same closed vocabulary before any of it is compiled.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from operator import itemgetter
from typing import Any

from quotebook.engine import convert, operators, runtime
from quotebook.engine.arrays import Array, Ref
from quotebook.engine.convert import CellError
from quotebook.engine.functions import lookup
from quotebook.engine.plan import Lifted, Plan, Spread, Template
from quotebook.engine.registry import Function, functions
from quotebook.engine.runtime import Environment, OpenArea, fill, one, spread
from quotebook.values import Value

#: Computes one formula, or reads one area, from the list of values.
Call = Callable[..., Any]

#: What templates may call beside the registered functions, by the module it comes from.
_CALLABLE = {
    runtime: "one if_error if_na choose switch not_available if_array replace_error replace_na without moved in_row",
    convert: "number text truth scalar caught",
    operators: "add subtract multiply divide power negate percent plus join chain lift lift2 "
    "equal unequal less greater at_most at_least",
    lookup: "index_value",
}
_TOKEN = re.compile(r"'[.x]+'|[A-Za-z_]\w*|\d+|[()\[\],:]|\s+")
_OWN = re.compile(r"[ak]\d+")
_WORDS = frozenset({"v", "env", "Ref", "lambda", "if", "else", "None"})


def vocabulary() -> dict[str, Any]:
    """Return every function that a template may name, by its name there."""
    found: dict[str, Any] = {"Ref": Ref}
    for module, names in _CALLABLE.items():
        found.update({name: getattr(module, name) for name in names.split()})
    found.update({identifier(name): function.call for name, function in functions().items()})
    return found


def identifier(function: str) -> str:
    """Return the name that a function of the allow-list has in templates."""
    return "f_" + function.replace(".", "_")


def is_clean(templates: tuple[Template, ...]) -> bool:
    """Tell whether templates consist of the closed vocabulary: nothing in them can reach beyond it."""
    allowed = _WORDS | set(vocabulary())
    for template in templates:
        end = 0
        for match in _TOKEN.finditer(template.source):
            token = match[0]
            if match.start() != end:
                return False
            end = match.end()
            if (token[0].isalpha() or token[0] == "_") and token not in allowed and not _OWN.fullmatch(token):
                return False
        if end != len(template.source):
            return False
    return True


def linked(plan: Plan) -> list[tuple[int, int, Call, tuple[int, ...]]]:
    """Return the steps of a plan as (number, place of the result, function, places read).

    Each function is called with the list of values, the environment and the places.
    """
    namespace = {"__builtins__": {}, **vocabulary(), **linked_constants(plan)}
    lines = []
    for index, template in enumerate(plan.templates):
        count = len(set(re.findall(r"a\d+", template.source)))
        arguments = "".join(f", a{n}" for n in range(count))
        value = template.source
        if template.kind not in "ntba":
            value = f"0.0 if (x := {value}) is None else x"
        lines.append(f"def t{index}(v, env{arguments}):\n return {value}\n")
    exec(compile("".join(lines), "<formulas>", "exec"), namespace)
    calls = [namespace[f"t{index}"] for index in range(len(plan.templates))]
    steps: list[tuple[int, int, Call, tuple[int, ...]]] = []
    for number, template_number, places in plan.steps:
        if number < 0:
            steps.append((number, number, reader(plan, -1 - number), ()))
        elif number in plan.spreads:
            target = plan.spreads[number]
            steps.append((number, target.slots[0], _spreading(calls[template_number], target), places))
        else:
            steps.append((number, plan.result_slots[number], calls[template_number], places))
    return steps


def linked_constants(plan: Plan) -> dict[str, object]:
    """Return the constants of a plan by name, lifted functions as functions."""
    return {name: _constant(value) for name, value in plan.constants.items()}


def reader(plan: Plan, area: int) -> Call:
    """Return the function that reads an area."""
    sheet, top, left, bottom, right, slots = plan.areas[area]
    if slots is None:
        return OpenArea(top, left, bottom, right, sheet, dict(plan.known.get(area, {}))).read
    height, width, get = bottom - top + 1, right - left + 1, itemgetter(*slots)

    def read(values: list[Value], environment: Environment) -> Ref:
        return Ref(height, width, get(values))

    return read


def _spreading(call: Call, target: Spread) -> Call:
    """Return a function that also fills the other cells of an array formula."""

    def run(values: list[Value], environment: Environment, *places: int) -> Value:
        try:
            spread(values, target.slots, target.height, target.width, call(values, environment, *places))
        except CellError as error:
            fill(values, target.slots, error.value)
            raise
        except Exception:
            fill(values, target.slots, None)
            raise
        return values[target.slots[0]]

    return run


def _constant(value: object) -> object:
    if not isinstance(value, Lifted):
        return value
    function = functions()[value.name]
    return _converting(function, value.kinds)


#: The conversion that each kind of argument asks for.
CONVERSIONS = {"n": "number", "t": "text", "b": "truth", "v": "scalar"}


def _converting(function: Function, kinds: tuple[str, ...]) -> Callable[..., object]:
    """Return the function with conversions of its arguments inside, to be called once for each place of an array."""
    conversions = [getattr(convert, CONVERSIONS[kind]) if kind in CONVERSIONS else None for kind in kinds]
    if function.environment:
        conversions.insert(0, None)
    call = function.call

    def apply(*arguments: object) -> object:
        result = call(*[c(a) if c else a for c, a in zip(conversions, arguments, strict=True)])
        return one(result) if function.returns == "a" else result

    return apply


__all__ = ["CONVERSIONS", "Array", "Call", "identifier", "is_clean", "linked", "reader", "vocabulary"]
