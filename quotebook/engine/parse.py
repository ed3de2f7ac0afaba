"""Formula text to syntax tree, with the precedence of spreadsheet programs.

From the tightest: range colon, percent, sign (so ``-2^2`` is 4), ``^``, ``*`` and ``/``, ``+`` and ``-``, ``&``,
comparisons; all from left to right, ``2^3^2`` is 64.
"""

from __future__ import annotations

from functools import lru_cache

from quotebook.engine import syntax as s
from quotebook.engine.structured import parse_table_reference
from quotebook.engine.tokens import FormulaTrouble, Token, tokenize
from quotebook.values import ErrorValue, column_number

#: Deeper formulas are refused: a hostile file must not exhaust the stack. Spreadsheet programs allow 64 functions.
DEEPEST = 90
#: Longer formulas are refused unread; spreadsheet programs allow 8,192 characters, LibreOffice more.
LONGEST = 32_768

_BINARY = {"^": 5, "*": 4, "/": 4, "+": 3, "-": 3, "&": 2, "=": 1, "<>": 1, "<": 1, ">": 1, "<=": 1, ">=": 1}
_PREFIXES = ("_XLFN.", "_XLWS.", "_XLUDF.")
_ERRORS = {error.value: error for error in ErrorValue}
_END = Token("end", "", False)


@lru_cache(maxsize=20_000)
def parse(formula: str) -> s.Node:
    """Return the tree of a formula given without its equals sign.

    Errors: FormulaTrouble with the reason, for text that is no formula and for constructs that are not supported.
    """
    if len(formula) > LONGEST:
        raise FormulaTrouble(f"a formula of {len(formula):,} characters; more than {LONGEST:,} are not read")
    return _Parser(tokenize(formula)).whole()


class _Parser:
    """One pass over the tokens of one formula."""

    def __init__(self, tokens: list[Token]) -> None:
        self.tokens = tokens
        self.tokens.append(_END)
        self.position = 0
        self.depth = 0

    def whole(self) -> s.Node:
        node = self.expression(0)
        token = self.tokens[self.position]
        if token is not _END:
            raise FormulaTrouble(f"{token.text!r} stands where the formula should end")
        return node

    def take(self, text: str, wanted: str = "") -> None:
        token = self.tokens[self.position]
        if token.kind != "op" or token.text != text:
            found = token.text or "the end"
            raise FormulaTrouble(f"{found!r} stands where {wanted or repr(text)} is expected")
        self.position += 1

    def at(self, text: str) -> bool:
        token = self.tokens[self.position]
        return token.kind == "op" and token.text == text

    def expression(self, lowest: int) -> s.Node:
        self.depth += 1
        if self.depth > DEEPEST:
            raise FormulaTrouble(f"nested more than {DEEPEST} deep")
        left = self.operand()
        steps = 0
        while True:
            token = self.tokens[self.position]
            level = _BINARY.get(token.text, 0) if token.kind == "op" else 0
            if level <= lowest:
                break
            if level in (2, 3):
                left = self.chain(left, level)
                continue
            self.position += 1
            steps += 1
            if steps > DEEPEST:
                raise FormulaTrouble(f"more than {DEEPEST} factors or comparisons in one row")
            left = s.Binary(token.text, left, self.expression(level))
        self.depth -= 1
        return left

    def chain(self, first: s.Node, level: int) -> s.Node:
        """Gather terms of one level, so that a long sum is one flat node and not a deep tree."""
        operators: list[str] = []
        terms = [first]
        while self.tokens[self.position].kind == "op" and _BINARY.get(self.tokens[self.position].text) == level:
            operators.append(self.tokens[self.position].text)
            self.position += 1
            terms.append(self.expression(level))
        if len(operators) == 1:
            return s.Binary(operators[0], first, terms[1])
        return s.Chain(tuple(operators), tuple(terms))

    def operand(self) -> s.Node:
        token = self.tokens[self.position]
        if token.kind == "op" and token.text in ("-", "+", "@"):
            self.position += 1
            self.depth += 1
            if self.depth > DEEPEST:
                raise FormulaTrouble(f"nested more than {DEEPEST} deep")
            inner = self.operand()
            self.depth -= 1
            return s.Unary(token.text, inner)
        node = self.range(self.primary())
        while self.at("%"):
            self.position += 1
            node = s.Unary("%", node)
        self.refuse_neighbour()
        return node

    def range(self, node: s.Node) -> s.Node:
        while self.at(":"):
            self.position += 1
            node = _join_range(node, self.primary())
        return node

    def refuse_neighbour(self) -> None:
        token = self.tokens[self.position]
        if token.kind not in ("op", "end") or (token.kind == "op" and token.text in ("(", "{", "#")):
            if token.text == "#":
                raise FormulaTrouble("a spill reference (#) is not supported")
            if token.spaced:
                raise FormulaTrouble("an intersection of references (a space between them) is not supported")
            raise FormulaTrouble(f"{token.text!r} follows where an operator is expected")

    def primary(self) -> s.Node:
        token = self.tokens[self.position]
        self.position += 1
        read = _READERS.get(token.kind)
        if read is not None:
            return read(token.text)
        if token.kind == "function":
            return self.call(token.text[:-1])
        if token.kind in ("sheet", "quoted"):
            return self.on_sheet(token)
        if token.kind == "external":
            raise FormulaTrouble(f"a link to another workbook ({token.text}) is not supported")
        if token.kind == "span":
            raise FormulaTrouble(f"a reference over several sheets ({token.text}) is not supported")
        if token.kind == "op" and token.text == "(":
            return self.parenthesis()
        if token.kind == "op" and token.text == "{":
            return self.array()
        raise FormulaTrouble(f"{token.text or 'the end'!r} stands where a value is expected")

    def parenthesis(self) -> s.Node:
        node = self.expression(0)
        if self.at(","):
            raise FormulaTrouble("a union of references (a comma in parentheses) is not supported")
        self.take(")")
        return node

    def call(self, written: str) -> s.Node:
        name = written.upper()
        while name.startswith(_PREFIXES):
            name = name.split(".", 1)[1]
        arguments: list[s.Node] = []
        if self.at(")"):
            self.position += 1
        else:
            while True:
                empty = self.at(",") or self.at(")")
                arguments.append(s.Missing() if empty else self.expression(0))
                if self.at(")"):
                    self.position += 1
                    break
                self.take(",", "',' or ')'")
        if name in ("TRUE", "FALSE") and not arguments:
            return s.Logical(name == "TRUE")
        return s.Call(name, tuple(arguments))

    def on_sheet(self, token: Token) -> s.Node:
        title = token.text[:-1]
        if token.kind == "quoted":
            title = title[1:-1].replace("''", "'")
        if "[" in title:
            raise FormulaTrouble(f"a link to another workbook ({token.text}) is not supported")
        if ":" in title:
            raise FormulaTrouble(f"a reference over several sheets ({token.text}) is not supported")
        follower = self.tokens[self.position]
        self.position += 1
        if follower.kind in ("cell", "columns", "rows"):
            node = _READERS[follower.kind](follower.text)
            if not isinstance(node, s.Reference):
                raise FormulaTrouble(f"{token.text}{follower.text} lies beyond the last row or column")
            return node._replace(sheet=title)
        if follower.kind == "error":
            return _error(follower.text)
        if follower.kind == "name":
            return s.NameRef(title, follower.text)
        raise FormulaTrouble(f"{follower.text or 'the end'!r} stands where a cell of sheet {title!r} is expected")

    def array(self) -> s.Node:
        rows: list[tuple[float | str | bool | ErrorValue, ...]] = []
        row: list[float | str | bool | ErrorValue] = []
        while True:
            row.append(self.array_item())
            if self.at(","):
                self.position += 1
                continue
            rows.append(tuple(row))
            row = []
            if self.at(";"):
                self.position += 1
                continue
            self.take("}")
            break
        if len({len(each) for each in rows}) != 1:
            raise FormulaTrouble("the rows of an array constant differ in length")
        return s.ArrayLiteral(tuple(rows))

    def array_item(self) -> float | str | bool | ErrorValue:
        negative = self.at("-")
        if negative or self.at("+"):
            self.position += 1
        node = self.primary()
        if isinstance(node, s.Number):
            return -node.value if negative else node.value
        if isinstance(node, s.Text | s.Logical | s.ErrorLiteral) and not negative:
            return node.value
        raise FormulaTrouble("an array constant holds something else than constants")


def _join_range(first: s.Node, last: s.Node) -> s.Node:
    if isinstance(first, s.ErrorLiteral):
        return first
    if isinstance(last, s.ErrorLiteral):
        return last
    if not (isinstance(first, s.Reference) and isinstance(last, s.Reference)):
        raise FormulaTrouble("a range whose corner is computed or named is not supported")
    if last.sheet is not None and (first.sheet is None or last.sheet.casefold() != first.sheet.casefold()):
        raise FormulaTrouble("a range from one sheet to another is not supported")
    corners = [
        ((first.top, first.fixed[0]), (first.left, first.fixed[1])),
        ((first.bottom, first.fixed[2]), (first.right, first.fixed[3])),
        ((last.top, last.fixed[0]), (last.left, last.fixed[1])),
        ((last.bottom, last.fixed[2]), (last.right, last.fixed[3])),
    ]
    top, bottom = min(c[0] for c in corners), max(c[0] for c in corners)
    left, right = min(c[1] for c in corners), max(c[1] for c in corners)
    fixed = (top[1], left[1], bottom[1], right[1])
    return s.Reference(first.sheet, top[0], left[0], bottom[0], right[0], fixed, "range")


def _cell(text: str) -> s.Node:
    head = text.rstrip("0123456789")
    row, letters = int(text[len(head) :]), head.strip("$")
    column = column_number(letters)
    if row > s.LAST_ROW or column > s.LAST_COLUMN:
        return s.NameRef(None, text)  # beyond the sheet: spreadsheet programs take it for a name
    fixed_row, fixed_column = head.endswith("$") and len(head) > 1, head.startswith("$")
    fixed = (fixed_row, fixed_column, fixed_row, fixed_column)
    return s.Reference(None, row, column, row, column, fixed, "cell")


def _columns(text: str) -> s.Node:
    pair = sorted((column_number(part.strip("$")), part.startswith("$")) for part in text.split(":"))
    (left, left_fixed), (right, right_fixed) = pair
    if right > s.LAST_COLUMN:
        raise FormulaTrouble(f"{text!r} lies beyond the last column")
    return s.Reference(None, 1, left, s.LAST_ROW, right, (True, left_fixed, True, right_fixed), "columns")


def _rows(text: str) -> s.Node:
    pair = sorted((int(part.strip("$")), part.startswith("$")) for part in text.split(":"))
    (top, top_fixed), (bottom, bottom_fixed) = pair
    if top < 1 or bottom > s.LAST_ROW:
        raise FormulaTrouble(f"{text!r} lies beyond the last row")
    return s.Reference(None, top, 1, bottom, s.LAST_COLUMN, (top_fixed, True, bottom_fixed, True), "rows")


def _error(text: str) -> s.Node:
    error = _ERRORS.get(text.upper())
    if error is None:
        raise FormulaTrouble(f"the error {text} is not supported")
    return s.ErrorLiteral(error)


def _name(text: str) -> s.Node:
    upper = text.upper()
    if upper in ("TRUE", "FALSE"):
        return s.Logical(upper == "TRUE")
    return s.NameRef(None, text)


def _number(text: str) -> s.Node:
    value = float(text)
    if value in (float("inf"), float("-inf")):
        raise FormulaTrouble(f"the number {text} is too large")
    return s.Number(value)


def _text(text: str) -> s.Node:
    return s.Text(text[1:-1].replace('""', '"'))


_READERS = {
    "number": _number,
    "text": _text,
    "cell": _cell,
    "columns": _columns,
    "rows": _rows,
    "error": _error,
    "name": _name,
    "table": parse_table_reference,
}
