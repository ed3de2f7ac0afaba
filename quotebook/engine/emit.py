"""One formula's syntax tree turned into a Python expression.

Nothing of the formula's text reaches the source: numbers and texts become constants by number, cells become slots,
functions become names of the allow-list. Along the way everything that the value depends on is collected.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from quotebook.engine import syntax as s
from quotebook.engine.arrays import Array
from quotebook.engine.link import CONVERSIONS, identifier
from quotebook.engine.plan import Constant, Lifted
from quotebook.engine.registry import Function, functions
from quotebook.engine.scope import Scope
from quotebook.engine.tokens import FormulaTrouble
from quotebook.values import Address, ErrorValue, Value

#: How an expression is wanted: one value; anything, references kept; anything, computed array-wise.
SCALAR, ANY, MANY = 0, 1, 2

_OPERATORS = {
    "+": ("add", "n"),
    "-": ("subtract", "n"),
    "*": ("multiply", "n"),
    "/": ("divide", "n"),
    "^": ("power", "n"),
    "&": ("join", "t"),
    "=": ("equal", "b"),
    "<>": ("unequal", "b"),
    "<": ("less", "b"),
    ">": ("greater", "b"),
    "<=": ("at_most", "b"),
    ">=": ("at_least", "b"),
}
_UNARY = {"-": ("negate", "n"), "+": ("plus", "v"), "%": ("percent", "n")}


class Code(NamedTuple):
    """Python source and what it gives: "n" a number, "t" text, "b" logical, "v" any scalar, "a" perhaps an array."""

    source: str
    kind: str


class Move(NamedTuple):
    """A rectangle that a formula reads, and which of its rows stay when the formula is filled down."""

    sheet: str
    top: int
    left: int
    bottom: int
    right: int
    top_fixed: bool
    bottom_fixed: bool


class Constants:
    """Literals of all formulas, held once each under a name of the generated program."""

    def __init__(self) -> None:
        self.values: dict[str, Constant] = {}
        self._names: dict[tuple[type, object], str] = {}

    def name(self, value: Value) -> str:
        """Return the name that a literal has in the generated program."""
        key = (type(value), value)  # TRUE and 1 are equal, and are not the same constant
        if key not in self._names:
            self._names[key] = self.add(value)
        return self._names[key]

    def add(self, value: Constant) -> str:
        """Return a new name for an object that is not shared."""
        name = f"k{len(self.values)}"
        self.values[name] = value
        return name


class Emitter:
    """Turns the tree of one formula into source; one emitter for each formula cell."""

    def __init__(self, scope: Scope, constants: Constants, cell: Address, array: bool) -> None:
        self.scope = scope
        self.constants = constants
        self.cell = cell
        self.mode = MANY if array else ANY
        self.cells: set[Address] = set()
        self.areas: set[int] = set()
        self.volatile = False
        #: How each place moves when the formula is filled down, and whether anything else depends on its row.
        self.moves: dict[int, Move] = {}
        self.stays = array
        #: Whether it reads a part of a larger range, which part being known only while it calculates.
        self.reaches = False
        self._names: list[tuple[str | None, str]] = []

    def formula(self, tree: s.Node) -> Code:
        """Return the source of a whole formula: a scalar, or anything for an array formula."""
        return self.emit(tree, MANY if self.mode == MANY else SCALAR)

    def emit(self, node: s.Node, want: int) -> Code:
        """Return the source of a node. Errors: FormulaTrouble for what is not supported."""
        return _EMITTERS[type(node)](self, node, want)

    def _literal(self, node: s.Number | s.Text | s.Logical, want: int) -> Code:
        kind = "n" if isinstance(node, s.Number) else "t" if isinstance(node, s.Text) else "b"
        return Code(self.constants.name(node.value), kind)

    def _error(self, node: s.ErrorLiteral, want: int) -> Code:
        return Code(self.constants.name(node.value), "v")

    def _missing(self, node: s.Missing, want: int) -> Code:
        return Code("None", "v")

    def _array(self, node: s.ArrayLiteral, want: int) -> Code:
        if want == SCALAR:
            return Code(self.constants.name(node.rows[0][0]), "v")
        flat = tuple(value for row in node.rows for value in row)
        return Code(self.constants.add(Array(len(node.rows), len(node.rows[0]), flat)), "a")

    def _reference(self, node: s.Reference, want: int) -> Code:
        place = self.scope.resolve(node, self.cell)
        if place is None:
            return Code(self.constants.name(ErrorValue.REF), "v")
        sheet, top, left, bottom, right = place
        if (top, left) == (bottom, right):
            cell = Address(sheet, top, left)
            self.cells.add(cell)
            slot = self.scope.slot(cell)
            self._note(slot, Move(*place, node.fixed[0], node.fixed[2]))
            source = f"v[{slot}]"
            return Code(source, "v") if want == SCALAR else Code(f"Ref(1, 1, ({source},))", "a")
        number = self.scope.area(*place)
        self.areas.add(number)
        if want == SCALAR:
            self.stays = True
            return self.intersection(sheet, top, left, bottom, right)
        self._note(-1 - number, Move(*place, node.fixed[0], node.fixed[2]))
        return Code(f"r[{number}]", "a")

    def _note(self, place: int, move: Move) -> None:
        """Note how a place moves; two references to it that move differently cannot be told apart later on."""
        one_cell = (move.top, move.left) == (move.bottom, move.right)
        grows = one_cell and move.top_fixed != move.bottom_fixed
        if grows or self.moves.setdefault(place, move) != move:
            self.stays = True

    def intersection(self, sheet: str, top: int, left: int, bottom: int, right: int) -> Code:
        """Where one value is wanted and a range is given, the cell in the formula's own row or column is meant."""
        row, column = self.cell.row, self.cell.column
        if left == right and top <= row <= bottom:
            return Code(f"v[{self.scope.slot(Address(sheet, row, left))}]", "v")
        if top == bottom and left <= column <= right:
            return Code(f"v[{self.scope.slot(Address(sheet, top, column))}]", "v")
        return Code(self.constants.name(ErrorValue.VALUE), "v")

    def _name(self, node: s.NameRef, want: int) -> Code:
        if node.sheet is not None and node.sheet.casefold() not in self.scope.sheets:
            return Code(self.constants.name(ErrorValue.REF), "v")
        key, tree = self.scope.name(node, self.cell)
        if key in self._names:
            raise FormulaTrouble(f"the defined name {node.name!r} refers to itself")
        self._names.append(key)
        code = self.emit(tree, want)
        self._names.pop()
        return code

    def _table(self, node: s.TableRef, want: int) -> Code:
        return self.emit(self.scope.table(node, self.cell), want)

    def operand(self, node: s.Node, want: int) -> Code:
        """An operand of an operator: a single cell is just its value, also in array formulas."""
        if want != MANY:
            return self.emit(node, SCALAR)
        node = self.plain(node)
        if isinstance(node, s.Reference) and (node.top, node.left) == (node.bottom, node.right):
            return self.emit(node, SCALAR)
        return self.emit(node, MANY)

    def plain(self, node: s.Node) -> s.Node:
        """Return the reference that a name or a structured reference stands for, any other node as it is."""
        for _ in range(20):
            if isinstance(node, s.TableRef):
                node = self.scope.table(node, self.cell)
            elif isinstance(node, s.NameRef) and (node.sheet is None or node.sheet.casefold() in self.scope.sheets):
                _, tree = self.scope.name(node, self.cell)
                if not isinstance(tree, s.Reference | s.NameRef):
                    return node
                node = tree
            else:
                break
        return node

    def _unary(self, node: s.Unary, want: int) -> Code:
        if node.operator == "@":
            return self.emit(node.operand, SCALAR)
        name, kind = _UNARY[node.operator]
        return self._applied(name, kind, [self.operand(node.operand, want)])

    def _binary(self, node: s.Binary, want: int) -> Code:
        name, kind = _OPERATORS[node.operator]
        return self._applied(name, kind, [self.operand(node.left, want), self.operand(node.right, want)])

    def _chain(self, node: s.Chain, want: int) -> Code:
        terms = [self.operand(term, want) for term in node.terms]
        if node.operators[0] == "&":
            return self._applied("join", "t", terms)
        if any(term.kind == "a" for term in terms):
            code = terms[0]
            for operator, term in zip(node.operators, terms[1:], strict=True):
                code = self._applied(_OPERATORS[operator][0], "n", [code, term])
            return code
        if len(terms) <= 6:
            source = terms[0].source
            for operator, term in zip(node.operators, terms[1:], strict=True):
                source = f"{_OPERATORS[operator][0]}({source}, {term.source})"
            return Code(source, "n")
        signs = self.constants.name("".join(node.operators))
        return Code(f"chain({signs}, {', '.join(term.source for term in terms)})", "n")

    def _applied(self, name: str, kind: str, operands: list[Code]) -> Code:
        sources = ", ".join(code.source for code in operands)
        if any(code.kind == "a" for code in operands):
            if len(operands) == 2:
                return Code(f"lift2({name}, {sources})", "a")
            return Code(f"lift({name}, '{'.' * len(operands)}', {sources})", "a")
        return Code(f"{name}({sources})", kind)

    def _call(self, node: s.Call, want: int) -> Code:
        from quotebook.engine.special import FORMS  # they use the emitter, so they are looked up late

        form = FORMS.get(node.name)
        if form is not None:
            return form(self, node, want)
        function = functions().get(node.name)
        if function is None:
            raise FormulaTrouble(f"the function {node.name} is not supported")
        return self.function(function, node, want)

    def function(self, function: Function, node: s.Call, want: int) -> Code:
        """Return the source of a call of a registered function."""
        kinds = function.kinds(len(node.arguments))
        if kinds is None:
            raise FormulaTrouble(f"{function.name} takes {function.arity()} arguments, found {len(node.arguments)}")
        self.volatile = self.volatile or function.volatile
        codes = [self.argument(each, kind, want, node.name) for each, kind in zip(node.arguments, kinds, strict=True)]
        return self.called(function, kinds, codes, want)

    def called(self, function: Function, kinds: tuple[str, ...], codes: list[Code], want: int) -> Code:
        """Return the source of a call whose arguments are given as source already."""
        spread = "".join("." if kind in "ntbve" else "x" for kind in kinds)
        if any(code.kind == "a" and s == "." for code, s in zip(codes, spread, strict=True)):
            sources = [code.source for code in codes]
            if function.environment:
                spread, sources = "x" + spread, ["env", *sources]
            lifted = self.constants.add(Lifted(function.name, kinds))
            return Code(f"lift({lifted}, '{spread}', {', '.join(sources)})", "a")
        name = identifier(function.name)
        arguments = [converted(code, kind) for code, kind in zip(codes, kinds, strict=True)]
        if function.environment:
            arguments.insert(0, "env")
        code = Code(f"{name}({', '.join(arguments)})", function.returns)
        return Code(f"one({code.source})", "v") if code.kind == "a" and want == SCALAR else code

    def argument(self, node: s.Node, kind: str, want: int, function: str) -> Code:
        """Return the source of one argument, not yet converted to its kind."""
        if kind in "ntbv":
            return self.operand(node, want)
        if kind == "e":
            code = self.operand(node, want)
            return code if code.kind == "a" or _cannot_raise(code) else Code(f"caught(lambda: {code.source})", "v")
        if kind == "A":
            return self.emit(node, MANY)
        code = self.emit(node, MANY if want == MANY else ANY)
        if kind == "r" and code.kind != "a":
            if isinstance(self.constants.values.get(code.source), ErrorValue):
                return Code(f"scalar({code.source})", "v")
            raise FormulaTrouble(f"{function} is given a computed value where it needs a range; not supported")
        if kind == "x" and not _cannot_raise(code):
            return Code(f"caught(lambda: {code.source})", code.kind)
        return code


def converted(code: Code, kind: str) -> str:
    """Return the source with the conversion that a kind of argument asks for."""
    if kind == code.kind or kind not in CONVERSIONS or (kind == "v" and code.kind in "ntb"):
        return code.source
    return f"{CONVERSIONS[kind]}({code.source})"


def _cannot_raise(code: Code) -> bool:
    return "(" not in code.source or code.source.startswith("Ref(")


_EMITTERS: dict[type, Callable[..., Code]] = {
    s.Number: Emitter._literal,
    s.Text: Emitter._literal,
    s.Logical: Emitter._literal,
    s.ErrorLiteral: Emitter._error,
    s.Missing: Emitter._missing,
    s.ArrayLiteral: Emitter._array,
    s.Reference: Emitter._reference,
    s.NameRef: Emitter._name,
    s.TableRef: Emitter._table,
    s.Unary: Emitter._unary,
    s.Binary: Emitter._binary,
    s.Chain: Emitter._chain,
    s.Call: Emitter._call,
}
