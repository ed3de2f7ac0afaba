"""A syntax tree written as a formula again, and how a reference stands inside a formula."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from quotebook.engine import syntax as s
from quotebook.engine.scope import children
from quotebook.values import ErrorValue, column_letters

_LEVELS = {"=": 1, "<>": 1, "<": 1, ">": 1, "<=": 1, ">=": 1, "&": 2, "+": 3, "-": 3, "*": 4, "/": 4, "^": 5}


def written(tree: s.Node) -> str:
    """Return the formula of a tree, without equals sign; it means what the tree means."""
    return _write(tree, 0)


def _write(node: s.Node, outer: int) -> str:
    if isinstance(node, s.Binary):
        level = _LEVELS[node.operator]
        text = f"{_write(node.left, level - 1)}{node.operator}{_write(node.right, level)}"
        return f"({text})" if level <= outer else text
    if isinstance(node, s.Chain):
        level = _LEVELS[node.operators[0]]
        text = _write(node.terms[0], level - 1)
        for operator, term in zip(node.operators, node.terms[1:], strict=True):
            text += operator + _write(term, level)
        return f"({text})" if level <= outer else text
    if isinstance(node, s.Unary):
        inner = _write(node.operand, 6)
        return f"{inner}%" if node.operator == "%" else f"{node.operator}{inner}"
    if isinstance(node, s.Call):
        return f"{node.name}({','.join(_write(argument, 0) for argument in node.arguments)})"
    return _leaf(node)


def _leaf(node: s.Node) -> str:
    if isinstance(node, s.Number):
        return f"{node.value:.15g}"
    if isinstance(node, s.Text):
        doubled = node.value.replace('"', '""')
        return f'"{doubled}"'
    if isinstance(node, s.Logical):
        return str(node.value).upper()
    if isinstance(node, s.ErrorLiteral):
        return node.value.value
    if isinstance(node, s.Reference):
        return _reference(node)
    if isinstance(node, s.NameRef):
        return _sheet(node.sheet) + node.name
    if isinstance(node, s.TableRef):
        items = [f"[{item.title()}]" for item in node.items]
        headings = ":".join(f"[{heading}]" for heading in (node.first, node.last) if heading is not None)
        return f"{node.table or ''}[{','.join(filter(None, [*items, headings]))}]"
    if isinstance(node, s.ArrayLiteral):
        return "{" + ";".join(",".join(_constant(value) for value in row) for row in node.rows) + "}"
    return ""


def _constant(value: float | str | bool | ErrorValue) -> str:
    if isinstance(value, bool):
        return str(value).upper()
    if isinstance(value, ErrorValue):
        return value.value
    return _leaf(s.Text(value)) if isinstance(value, str) else _leaf(s.Number(value))


def _sheet(title: str | None) -> str:
    if title is None:
        return ""
    doubled = title.replace("'", "''")
    return f"'{doubled}'!"


def _reference(node: s.Reference) -> str:
    top, left = f"{'$' * node.fixed[0]}{node.top}", f"{'$' * node.fixed[1]}{column_letters(node.left)}"
    bottom, right = f"{'$' * node.fixed[2]}{node.bottom}", f"{'$' * node.fixed[3]}{column_letters(node.right)}"
    if node.form == "columns":
        return f"{_sheet(node.sheet)}{left}:{right}"
    if node.form == "rows":
        return f"{_sheet(node.sheet)}{top}:{bottom}"
    first = _sheet(node.sheet) + left + top
    return first if (node.top, node.left) == (node.bottom, node.right) else f"{first}:{right}{bottom}"


def with_part(tree: s.Node, old: s.Node, new: s.Node) -> s.Node:
    """Return the tree with the first part equal to ``old`` replaced."""
    return _swap(tree, old, new, [False])


def _swap(tree: s.Node, old: s.Node, new: s.Node, done: list[bool]) -> s.Node:
    if done[0]:
        return tree
    if tree == old and type(tree) is type(old):
        done[0] = True
        return new
    if isinstance(tree, s.Unary):
        return tree._replace(operand=_swap(tree.operand, old, new, done))
    if isinstance(tree, s.Binary):
        left = _swap(tree.left, old, new, done)
        return tree._replace(left=left, right=_swap(tree.right, old, new, done))
    if isinstance(tree, s.Chain):
        return tree._replace(terms=tuple(_swap(term, old, new, done) for term in tree.terms))
    if isinstance(tree, s.Call):
        return tree._replace(arguments=tuple(_swap(argument, old, new, done) for argument in tree.arguments))
    return tree


class Part(NamedTuple):
    """A part of a formula and the parts around it, the nearest last."""

    node: s.Node
    around: tuple[s.Node, ...]


def parts(tree: s.Node, around: tuple[s.Node, ...] = ()) -> Iterator[Part]:
    """Yield every part of a formula with what stands around it."""
    yield Part(tree, around)
    for child in children(tree):
        yield from parts(child, (*around, tree))


def factors(tree: s.Node, sign: int = 1) -> Iterator[tuple[int, s.Node]]:
    """Yield the factors of a product with 1 for multiplied and -1 for divided ones; anything else is one factor."""
    if isinstance(tree, s.Binary) and tree.operator in "*/":
        yield from factors(tree.left, sign)
        yield from factors(tree.right, sign if tree.operator == "*" else -sign)
    elif isinstance(tree, s.Call) and tree.name in ("ROUND", "ROUNDUP", "ROUNDDOWN", "PRODUCT") and tree.arguments:
        for argument in tree.arguments if tree.name == "PRODUCT" else tree.arguments[:1]:
            yield from factors(argument, sign)
    else:
        yield sign, tree
