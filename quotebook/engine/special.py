"""Functions that are more than a call: they choose what is computed, or look at a reference instead of its values."""

from __future__ import annotations

from collections.abc import Callable

from quotebook.engine import moving
from quotebook.engine import syntax as s
from quotebook.engine.arrays import Array
from quotebook.engine.emit import ANY, MANY, SCALAR, Code, Emitter, converted
from quotebook.engine.registry import functions
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import ErrorValue

Form = Callable[[Emitter, s.Call, int], Code]


def _count(node: s.Call, least: int, most: int) -> None:
    found = len(node.arguments)
    if not least <= found <= most:
        wanted = str(least) if least == most else f"{least} to {most}"
        raise FormulaTrouble(f"{node.name} takes {wanted} arguments, found {found}")


def _branch(emitter: Emitter, node: s.Node, want: int) -> Code:
    if isinstance(node, s.Missing):
        return Code(emitter.constants.name(0.0), "n")
    return emitter.emit(node, want)


def _kind(codes: list[Code]) -> str:
    kinds = {code.kind for code in codes}
    if len(kinds) == 1:
        return kinds.pop()
    return "a" if "a" in kinds else "v"


def _refuse_array(emitter: Emitter, name: str) -> None:
    if emitter.mode != MANY:
        raise FormulaTrouble(f"{name} over a range outside of an array formula is not supported; programs differ")


def _if(emitter: Emitter, node: s.Call, want: int) -> Code:
    _count(node, 2, 3)
    condition = emitter.operand(node.arguments[0], want)
    yes = _branch(emitter, node.arguments[1], want)
    no = Code(emitter.constants.name(False), "b")
    if len(node.arguments) == 3:
        no = _branch(emitter, node.arguments[2], want)
    if condition.kind == "a":
        _refuse_array(emitter, "IF")
        return Code(f"if_array({condition.source}, lambda: {yes.source}, lambda: {no.source})", "a")
    return Code(f"({yes.source} if {converted(condition, 'b')} else {no.source})", _kind([yes, no]))


def _ifs(emitter: Emitter, node: s.Call, want: int) -> Code:
    if not node.arguments or len(node.arguments) % 2:
        raise FormulaTrouble(f"IFS takes pairs of a condition and a value, found {len(node.arguments)} arguments")
    source, kinds = "", []
    for condition, value in zip(node.arguments[::2], node.arguments[1::2], strict=True):
        test = emitter.operand(condition, want)
        if test.kind == "a":
            raise FormulaTrouble("IFS over a range is not supported")
        result = _branch(emitter, value, want)
        kinds.append(result)
        source += f"{result.source} if {converted(test, 'b')} else "
    return Code(f"({source}not_available())", _kind(kinds))


def _if_error(emitter: Emitter, node: s.Call, want: int) -> Code:
    _count(node, 2, 2)
    lazy, each = {"IFERROR": ("if_error", "replace_error"), "IFNA": ("if_na", "replace_na")}[node.name]
    value, instead = (_branch(emitter, argument, want) for argument in node.arguments)
    if want == MANY and "a" in (value.kind, instead.kind):
        _refuse_array(emitter, node.name)
        sources = [f"caught(lambda: {code.source})" for code in (value, instead)]
        return Code(f"lift({each}, '..', {', '.join(sources)})", "a")
    return Code(f"{lazy}(lambda: {value.source}, lambda: {instead.source})", _kind([value, instead]))


def _choose(emitter: Emitter, node: s.Call, want: int) -> Code:
    _count(node, 2, 255)
    index = emitter.operand(node.arguments[0], want)
    if index.kind == "a":
        raise FormulaTrouble("CHOOSE over a range is not supported")
    branches = [_branch(emitter, argument, want) for argument in node.arguments[1:]]
    lambdas = "".join(f"lambda: {branch.source}, " for branch in branches)
    return Code(f"choose({converted(index, 'n')}, ({lambdas}))", _kind(branches))


def _switch(emitter: Emitter, node: s.Call, want: int) -> Code:
    _count(node, 3, 253)
    value = emitter.operand(node.arguments[0], want)
    rest = node.arguments[1:]
    otherwise = _branch(emitter, rest[-1], want) if len(rest) % 2 else None
    pairs, kinds = "", [otherwise] if otherwise else []
    for candidate, result in zip(rest[: len(rest) // 2 * 2 : 2], rest[1 : len(rest) // 2 * 2 : 2], strict=True):
        test, code = emitter.operand(candidate, want), _branch(emitter, result, want)
        if "a" in (value.kind, test.kind):
            raise FormulaTrouble("SWITCH over a range is not supported")
        kinds.append(code)
        pairs += f"(lambda: {test.source}, lambda: {code.source}), "
    last = f"lambda: {otherwise.source}" if otherwise else "None"
    return Code(f"switch({value.source}, ({pairs}), {last})", _kind(kinds))


def _row_or_column(emitter: Emitter, node: s.Call, want: int) -> Code:
    """ROW and COLUMN look at the address only, so their cell may refer to itself."""
    _count(node, 0, 1)
    emitter.stays = True
    rows = node.name == "ROW"
    if not node.arguments:
        return Code(emitter.constants.name(float(emitter.cell.row if rows else emitter.cell.column)), "n")
    reference = _plain_reference(emitter, node)
    first, last = (reference.top, reference.bottom) if rows else (reference.left, reference.right)
    if want != MANY or first == last:
        return Code(emitter.constants.name(float(first)), "n")
    if last - first >= 20_000:
        raise FormulaTrouble(f"{node.name} of a range of {last - first + 1} is too large")
    numbers = [float(number) for number in range(first, last + 1)]
    shape = (len(numbers), 1) if rows else (1, len(numbers))
    return Code(emitter.constants.add(Array(*shape, numbers)), "a")


def _rows_or_columns(emitter: Emitter, node: s.Call, want: int) -> Code:
    _count(node, 1, 1)
    emitter.stays = True
    inner = node.arguments[0]
    if isinstance(inner, s.ArrayLiteral):
        return Code(emitter.constants.name(float(len(inner.rows if node.name == "ROWS" else inner.rows[0]))), "n")
    reference = _plain_reference(emitter, node)
    height, width = reference.bottom - reference.top + 1, reference.right - reference.left + 1
    return Code(emitter.constants.name(float(height if node.name == "ROWS" else width)), "n")


def _plain_reference(emitter: Emitter, node: s.Call) -> s.Reference:
    reference = emitter.plain(node.arguments[0])
    if isinstance(reference, s.Reference):
        return reference
    raise FormulaTrouble(f"{node.name} is given something computed where it needs a reference; not supported")


def _sum_if(emitter: Emitter, node: s.Call, want: int) -> Code:
    """SUMIF and AVERAGEIF take only the first cell of the range to add up, and give it the shape of the other."""
    _count(node, 2, 3)
    if len(node.arguments) == 3:
        tested, added = emitter.plain(node.arguments[0]), emitter.plain(node.arguments[2])
        if isinstance(tested, s.Reference) and isinstance(added, s.Reference):
            ends = tested.fixed[0] == tested.fixed[2] and added.fixed[0] == added.fixed[2]
            emitter.stays = emitter.stays or not ends
            bottom = min(added.top + tested.bottom - tested.top, s.LAST_ROW)
            emitter.stays = emitter.stays or bottom == s.LAST_ROW
            right = min(added.left + tested.right - tested.left, s.LAST_COLUMN)
            form = "cell" if (bottom, right) == (added.top, added.left) else "range"
            added = added._replace(bottom=bottom, right=right, form=form)
            node = s.Call(node.name, (*node.arguments[:2], added))
    return emitter.function(functions()[node.name], node, want)


def _subtotal(emitter: Emitter, node: s.Call, want: int) -> Code:
    """SUBTOTAL skips cells that hold a subtotal themselves, and hidden rows with the numbers from 101."""
    _count(node, 2, 254)
    emitter.stays = True
    which = node.arguments[0]
    if not isinstance(which, s.Number) or which.value not in (*range(1, 12), *range(101, 112)):
        raise FormulaTrouble("SUBTOTAL is supported only with a written number of 1 to 11 or 101 to 111")
    codes = [emitter.emit(which, SCALAR)]
    for argument in node.arguments[1:]:
        reference = emitter.plain(argument)
        if not isinstance(reference, s.Reference):
            raise FormulaTrouble("SUBTOTAL is given something computed where it needs a range")
        code = emitter.emit(reference, ANY)
        skipped = _skipped(emitter, reference, int(which.value))
        if skipped:
            code = Code(f"without({code.source}, {emitter.constants.add(skipped)})", "a")
        codes.append(code)
    function = functions()["SUBTOTAL"]
    return emitter.called(function, ("n", *("a",) * (len(codes) - 1)), codes, want)


def _skipped(emitter: Emitter, reference: s.Reference, which: int) -> tuple[tuple[int, int], ...]:
    place = emitter.scope.resolve(reference, emitter.cell)
    if place is None:
        return ()
    sheet, top, left, bottom, right = place
    skipped = set()
    for cell in emitter.scope.subtotals(sheet):
        if top <= cell.row <= bottom and left <= cell.column <= right:
            skipped.add((cell.row - top, cell.column - left))
    hidden = [row for row in emitter.scope.hidden_rows(sheet) if top <= row <= bottom]
    if hidden and which < 100:
        raise FormulaTrouble("SUBTOTAL over hidden rows depends on whether a filter hides them, which is not known")
    for row in hidden:
        skipped.update((row - top, column) for column in range(right - left + 1))
    if skipped and (bottom - top + 1) * (right - left + 1) > 20_000:
        raise FormulaTrouble("SUBTOTAL over a very large range with other subtotals or hidden rows is not supported")
    return tuple(sorted(skipped))


def _index(emitter: Emitter, node: s.Call, want: int) -> Code:
    """INDEX where one value is wanted goes a shorter way."""
    code = emitter.function(functions()["INDEX"], node, ANY if want == SCALAR else want)
    if want != SCALAR:
        return code
    if code.source.startswith("f_INDEX("):
        return Code(f"index_value({code.source.removeprefix('f_INDEX(')}", "v")
    return Code(f"one({code.source})", "v")


def _not_available(emitter: Emitter, node: s.Call, want: int) -> Code:
    _count(node, 0, 0)
    return Code(emitter.constants.name(ErrorValue.NA), "v")


FORMS: dict[str, Form] = {
    "IF": _if,
    "IFS": _ifs,
    "IFERROR": _if_error,
    "IFNA": _if_error,
    "CHOOSE": _choose,
    "SWITCH": _switch,
    "ROW": _row_or_column,
    "COLUMN": _row_or_column,
    "ROWS": _rows_or_columns,
    "COLUMNS": _rows_or_columns,
    "SUMIF": _sum_if,
    "AVERAGEIF": _sum_if,
    "SUBTOTAL": _subtotal,
    "INDEX": _index,
    "NA": _not_available,
    "OFFSET": moving.offset,
    "INDIRECT": moving.indirect,
}
