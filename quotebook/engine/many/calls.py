"""The vocabulary of templates once more, over columns instead of values.

Every function is the scalar one, called case by case, unless a fast way is known (``fast``). So a function without a
fast way is slow and never wrong, and a fast way that meets something unusual gives up and leaves it to the scalar one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from quotebook.engine import link, operators, runtime
from quotebook.engine.arrays import Array, Ref
from quotebook.engine.convert import CellError, NotSupported
from quotebook.engine.many import fast
from quotebook.engine.many.columns import (
    Block,
    Column,
    Raised,
    Slow,
    as_objects,
    block,
    items,
    merged,
    objects,
    settled,
    tidy,
    varies,
)
from quotebook.values import ErrorValue

Thunk = Callable[[], Column]


class Caller:
    """The vocabulary for chunks of ``count`` cases."""

    def __init__(self, count: int) -> None:
        self.count = count

    def vocabulary(self, constants: dict[str, Any]) -> dict[str, Any]:
        """Return what the namespace of templates over columns holds."""
        found: dict[str, Any] = {}
        for name, call in link.vocabulary().items():
            found[name] = self.strict(call, fast.WAYS.get(name))
        for name, value in constants.items():
            found[name] = self.strict(value) if callable(value) else value
        own = [
            "where",
            "caught",
            "if_error",
            "if_na",
            "choose",
            "switch",
            "lift",
            "lift2",
            "one",
            "index_value",
            "f_INDEX",
            "without",
            "Ref",
        ]
        found.update({name: getattr(self, "_" + name) for name in own})
        found["not_available"] = lambda: Raised(CellError(ErrorValue.NA))
        found["if_array"] = _give_up
        return found

    def strict(self, call: Callable[..., Any], way: Callable[..., Column] | None = None) -> Callable[..., Column]:
        """Return a function over columns whose arguments are all computed before it is called."""

        def over_cases(*arguments: Column) -> Column:
            plain, varied = True, False
            for each in arguments:
                kind = type(each)
                if kind is np.ndarray:
                    varied = True
                    plain = plain and each.dtype != object
                elif kind is Block:
                    varied = True
                elif kind is Raised:
                    plain = False
            if not varied:
                return _once(call, arguments)
            if plain and way is not None:
                try:
                    return way(*arguments)
                except (Slow, FloatingPointError):
                    pass
            return self.case_by_case(call, arguments)

        over_cases.scalar = call  # type: ignore[attr-defined]
        return over_cases

    def case_by_case(self, call: Callable[..., Any], arguments: Sequence[Column]) -> Column:
        """Return a function's answers for one case after the other."""
        results = []
        for values in zip(*[items(each, self.count) for each in arguments], strict=False):
            for value in values:
                if type(value) is Raised:
                    results.append(value)
                    break
            else:
                result = _once(call, values)
                if isinstance(result, Array):
                    raise Slow
                results.append(result)
        return objects(results)

    # -- what decides which of its arguments counts ---------------------------------------------

    def _where(self, condition: Column, yes: Thunk, no: Thunk) -> Column:
        if type(condition) is bool:
            return yes() if condition else no()
        if type(condition) is Raised:
            return condition
        if condition.dtype == np.bool_:
            return settled(merged(condition, yes(), no(), self.count))
        chosen, otherwise = as_objects(yes(), self.count), as_objects(no(), self.count)
        picked = [
            c if type(c) is Raised else y if c else n for c, y, n in zip(condition, chosen, otherwise, strict=True)
        ]
        return objects(picked)

    def _caught(self, compute: Thunk) -> Column:
        return _caught(compute())

    def _if_error(self, compute: Thunk, instead: Thunk) -> Column:
        return self._replaced(compute(), instead, lambda error: True)

    def _if_na(self, compute: Thunk, instead: Thunk) -> Column:
        return self._replaced(compute(), instead, lambda error: error is ErrorValue.NA)

    def _replaced(self, value: Column, instead: Thunk, concerns: Callable[[ErrorValue], bool]) -> Column:
        def concerned(each: Any) -> bool:
            if type(each) is Raised:
                return isinstance(each.error, CellError) and concerns(each.error.value)
            return isinstance(each, ErrorValue) and concerns(each)

        if type(value) is np.ndarray:
            if value.dtype != object:
                return value
            mask = np.fromiter(map(concerned, value), dtype=bool, count=len(value))
            return settled(merged(mask, instead(), value, self.count)) if mask.any() else value
        if type(value) is Block:
            raise Slow
        return instead() if concerned(value) else value

    def _choose(self, index: Column, branches: Sequence[Thunk]) -> Column:
        if type(index) is float:
            if not 1 <= index < len(branches) + 1:
                return Raised(CellError(ErrorValue.VALUE))
            return branches[int(index) - 1]()
        if type(index) is not np.ndarray or index.dtype != np.float64:
            raise Slow
        result: Column = Raised(CellError(ErrorValue.VALUE))
        for number, branch in enumerate(branches, start=1):
            mask = (index >= number) & (index < number + 1)
            if mask.any():
                result = merged(mask, branch(), result, self.count)
        return settled(result)

    def _switch(self, value: Column, pairs: Sequence[tuple[Thunk, Thunk]], otherwise: Thunk | None) -> Column:
        raise Slow

    # -- rectangles -------------------------------------------------------------------------------

    def _Ref(self, height: int, width: int, flat: Sequence[Column]) -> Column:
        for cell in flat:
            if type(cell) is Raised:
                return cell
        return block(height, width, flat, ref=True)

    def _one(self, value: Column) -> Column:
        if type(value) is Block:
            return value.flat[0] if value.height == value.width == 1 else _once(runtime.one, (Array(2, 1, (0.0, 0.0)),))
        return value if varies(value) else _once(runtime.one, (value,))

    def _without(self, area: Column, places: Sequence[tuple[int, int]]) -> Column:
        if type(area) is not Block:
            return runtime.without(area, places)
        flat = list(area.flat)
        for row, column in places:
            if row < area.height and column < area.width:
                flat[row * area.width + column] = None
        return Block(area.height, area.width, flat, True, area.full_height, area.full_width)

    def _index_value(self, area: Column, row: Column, column: Column = None, part: Column = 1.0) -> Column:
        picked = fast.picked(area, row, column, part)
        if picked is not None:
            return picked[0]
        return self.strict(link.vocabulary()["index_value"])(area, row, column, part)

    def _f_INDEX(self, area: Column, row: Column, column: Column = None, part: Column = 1.0) -> Column:
        picked = fast.picked(area, row, column, part)
        if picked is not None:
            return block(1, 1, picked, ref=isinstance(area, Ref) or (type(area) is Block and area.ref))
        if any(varies(each) or type(each) is Raised for each in (area, row, column, part)):
            raise Slow
        return _once(link.vocabulary()["f_INDEX"], (area, row, column, part))

    def _lift2(self, function: Callable[..., Any], left: Column, right: Column) -> Column:
        return self._lift(function, "..", left, right)

    def _lift(self, function: Callable[..., Any], spread: str, *arguments: Column) -> Column:
        for each in arguments:
            if type(each) is Raised:
                return each
        if not any(varies(each) for each in arguments):
            return _once(operators.lift, (function.scalar, spread, *arguments))  # type: ignore[attr-defined]
        spreads = (spread + spread[-1] * len(arguments))[: len(arguments)]
        shaped = [a for a, s in zip(arguments, spreads, strict=True) if s == "." and isinstance(a, Array | Block)]
        if not shaped:
            return function(*arguments)
        height, width = max(a.height for a in shaped), max(a.width for a in shaped)
        flat = []
        for index in range(height * width):
            row, column = divmod(index, width)
            places = [
                _place(a, row, column) if s == "." and isinstance(a, Array | Block) else a
                for a, s in zip(arguments, spreads, strict=True)
            ]
            flat.append(settled(_caught(function(*places))))
        return block(height, width, flat, ref=False)


def _place(array: Array | Block, row: int, column: int) -> Column:
    row = 0 if array.height == 1 else row
    column = 0 if array.width == 1 else column
    if row >= array.height or column >= array.width:
        return ErrorValue.NA
    return array.flat[row * array.width + column]


def _once(call: Callable[..., Any], arguments: Sequence[Any]) -> Any:
    for each in arguments:
        if type(each) is Raised:
            return each
    try:
        return call(*arguments)
    except (CellError, NotSupported) as error:
        return Raised(error)


def _caught(value: Column) -> Column:
    def one(each: Any) -> Any:
        return each.error.value if type(each) is Raised and isinstance(each.error, CellError) else each

    if type(value) is np.ndarray:
        if value.dtype != object:
            return value
        result = np.empty(len(value), dtype=object)
        result[:] = [one(each) for each in value]
        return tidy(result)
    return one(value)


def _give_up(*arguments: Any) -> Any:
    raise Slow
