"""OFFSET and INDIRECT: references whose place is worked out.

Where the place is written in the formula it is resolved when the formula is compiled, and is then a plain reference.
Where a part of it is computed, the formula is taken to depend on all that it may reach: the columns, the rows or the
sheet in which it moves. A formula that may reach itself in this way is not evaluated, with that as its reason.
"""

from __future__ import annotations

import re

from quotebook.engine import syntax as s
from quotebook.engine.convert import general
from quotebook.engine.emit import SCALAR, Code, Emitter, converted
from quotebook.engine.parse import parse
from quotebook.engine.runtime import whole_moves
from quotebook.engine.syntax import LAST_COLUMN, LAST_ROW
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import ErrorValue

_COLUMN = re.compile(r"((?:'(?:[^']|'')+'|[^'!:]+)!)?\$?([A-Za-z]{1,3})\$?")


def offset(emitter: Emitter, node: s.Call, want: int) -> Code:
    """Return the source of OFFSET."""
    if not 3 <= len(node.arguments) <= 5:
        raise FormulaTrouble(f"OFFSET takes 3 to 5 arguments, found {len(node.arguments)}")
    base = emitter.plain(node.arguments[0])
    if not isinstance(base, s.Reference):
        raise FormulaTrouble("OFFSET is given something computed where it needs a reference; not supported")
    emitter.stays = True
    place = emitter.scope.resolve(base, emitter.cell)
    if place is None:
        return Code(emitter.constants.name(ErrorValue.REF), "v")
    sheet, top, left, bottom, right = place
    sizes = (0.0, 0.0, float(bottom - top + 1), float(right - left + 1))
    arguments = [*node.arguments[1:], *[s.Missing()] * (5 - len(node.arguments))]
    rows, columns, height, width = (
        s.Number(size) if isinstance(each, s.Missing) else each for each, size in zip(arguments, sizes, strict=True)
    )
    down, across = (written(rows), written(height)), (written(columns), written(width))
    if None not in down and None not in across:
        return emitter.emit(_place(sheet, top, left, down, across), want)  # type: ignore[arg-type]
    first, last, start, end = 1, LAST_ROW, 1, LAST_COLUMN
    if None not in across:
        start, end = _span(left, *across)  # type: ignore[arg-type]
    elif None not in down:
        first, last = _span(top, *down)  # type: ignore[arg-type]
    if not (1 <= first <= last <= LAST_ROW and 1 <= start <= end <= LAST_COLUMN):
        return Code(emitter.constants.name(ErrorValue.REF), "v")
    base_in_it = (s.Number(float(top - first)), s.Number(float(left - start)))
    reach = (sheet, first, start, last, end)
    return _cut(emitter, "moved", reach, (*base_in_it, rows, columns, height, width), "nnnnnn", want)


def indirect(emitter: Emitter, node: s.Call, want: int) -> Code:
    """Return the source of INDIRECT."""
    if not 1 <= len(node.arguments) <= 2:
        raise FormulaTrouble(f"INDIRECT takes 1 to 2 arguments, found {len(node.arguments)}")
    if node.arguments[1:] not in ((), (s.Logical(True),)):
        raise FormulaTrouble("INDIRECT is supported only for addresses such as B7")
    emitter.stays = True
    *before, last = _terms(node.arguments[0])
    front = "".join(spelled(each) or "\0" for each in before)
    end = spelled(last)
    if end is not None and "\0" not in front:
        return emitter.emit(_known(emitter, _named(front + end)), want)
    column = _COLUMN.fullmatch(front)
    if column is None:
        raise FormulaTrouble("INDIRECT of a text that is put together while calculating is not supported")
    reference = _named(f"{column[1] or ''}{column[2]}1")
    place = emitter.scope.resolve(reference, emitter.cell) if isinstance(reference, s.Reference) else None
    if place is None:
        return Code(emitter.constants.name(ErrorValue.REF), "v")
    return _cut(emitter, "in_row", (place[0], 1, place[2], LAST_ROW, place[2]), (last,), "t", want)


def written(node: s.Node) -> float | None:
    """Return the number that is written in a formula, or None where it is computed."""
    if isinstance(node, s.Unary) and node.operator in ("-", "+"):
        inner = written(node.operand)
        return None if inner is None else -inner if node.operator == "-" else inner
    return node.value if isinstance(node, s.Number) else None


def spelled(node: s.Node) -> str | None:
    """Return the text that is written in a formula, or None where it is computed."""
    if isinstance(node, s.Text):
        return node.value
    return general(node.value) if isinstance(node, s.Number) else None


def _terms(node: s.Node) -> tuple[s.Node, ...]:
    if isinstance(node, s.Binary) and node.operator == "&":
        return (*_terms(node.left), *_terms(node.right))
    return node.terms if isinstance(node, s.Chain) and node.operators[0] == "&" else (node,)


def _named(text: str) -> s.Node:
    try:
        tree = parse(text)
    except FormulaTrouble:
        return s.ErrorLiteral(ErrorValue.REF)
    return tree if isinstance(tree, s.Reference | s.NameRef) else s.ErrorLiteral(ErrorValue.REF)


def _known(emitter: Emitter, node: s.Node) -> s.Node:
    """Return a name that is defined as it is; any other text names no cell."""
    unknown = s.ErrorLiteral(ErrorValue.NAME)
    if isinstance(node, s.NameRef) and emitter.scope.name(node, emitter.cell)[1] == unknown:
        return s.ErrorLiteral(ErrorValue.REF)
    return node


def _span(first: int, moves: float, size: float) -> tuple[int, int]:
    start = first + whole_moves(moves)
    return start, start + whole_moves(size) - 1


def _place(sheet: str, top: int, left: int, down: tuple[float, float], across: tuple[float, float]) -> s.Node:
    (top, bottom), (left, right) = _span(top, *down), _span(left, *across)
    if down[1] < 0 or across[1] < 0:
        raise FormulaTrouble("OFFSET with a negative height or width is not supported")
    if not (1 <= top <= bottom <= LAST_ROW and 1 <= left <= right <= LAST_COLUMN):
        return s.ErrorLiteral(ErrorValue.REF)
    form = "cell" if (top, left) == (bottom, right) else "range"
    return s.Reference(sheet, top, left, bottom, right, (True, True, True, True), form)


def _cut(
    emitter: Emitter, name: str, reach: tuple[str, int, int, int, int], arguments: tuple[s.Node, ...], kinds: str,
    want: int,
) -> Code:  # fmt: skip
    number = emitter.scope.area(*reach)
    emitter.areas.add(number)
    emitter.reaches = True
    codes = [emitter.emit(each, SCALAR) for each in arguments]
    given = ", ".join(converted(code, kind) for code, kind in zip(codes, kinds, strict=True))
    source = f"{name}(r[{number}], {given})"
    return Code(f"one({source})", "v") if want == SCALAR else Code(source, "a")
