"""Templates rewritten so that choices work on columns: ``a if c else b`` becomes ``where(c, lambda: a, lambda: b)``."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable
from typing import Any

from quotebook.engine.plan import Template


class _Choices(ast.NodeTransformer):
    def visit_IfExp(self, node: ast.IfExp) -> ast.AST:
        self.generic_visit(node)
        branches = [ast.Lambda(args=_NO_ARGUMENTS, body=branch) for branch in (node.body, node.orelse)]
        return ast.Call(func=ast.Name("where", ast.Load()), args=[node.test, *branches], keywords=[])


_NO_ARGUMENTS = ast.arguments(posonlyargs=[], args=[], kwonlyargs=[], kw_defaults=[], defaults=[])


def over_columns(template: Template, vocabulary: dict[str, Any]) -> Callable[..., Any]:
    """Return a template's function over columns; it is called as the scalar one is."""
    arguments = "".join(f", a{n}" for n in range(len(set(re.findall(r"a\d+", template.source)))))
    tree = _Choices().visit(ast.parse(f"lambda v, env{arguments}: {template.source}", mode="eval"))
    made: Callable[..., Any] = eval(compile(ast.fix_missing_locations(tree), "<cases>", "eval"), vocabulary)
    return made
