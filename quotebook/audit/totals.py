"""Totals: what a formula adds up, term by term, and the stretches of cells that sums cover."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cached_property
from typing import NamedTuple

from quotebook.audit.grid import Grid, Span
from quotebook.audit.view import BookView
from quotebook.clock import tick
from quotebook.engine import syntax as s
from quotebook.values import Address, column_letters

_SUMS = frozenset({"SUM"})
_SKIP_NESTED = frozenset({"SUBTOTAL", "AGGREGATE"})
_DEEPEST = 8


class Total(NamedTuple):
    """A sum over a stretch of one column ("down") or one row ("across"), inside the formula of ``cell``."""

    cell: Address
    span: Span
    down: bool
    function: str

    @property
    def line(self) -> int:
        """Return the column, or the row, that is added up."""
        return self.span.left if self.down else self.span.top

    @property
    def ends(self) -> tuple[int, int]:
        """Return the first and the last place along the line."""
        return (self.span.top, self.span.bottom) if self.down else (self.span.left, self.span.right)

    def at(self, place: int) -> Address:
        """Return the cell of a place along the line."""
        if self.down:
            return Address(self.span.sheet, place, self.span.left)
        return Address(self.span.sheet, self.span.top, place)

    def stretched(self, first: int, last: int) -> Span:
        """Return the span with other ends."""
        span = self.span
        if self.down:
            return span._replace(top=first, bottom=last)
        return span._replace(left=first, right=last)


class Totals:
    """All totals of a workbook."""

    def __init__(self, grid: Grid) -> None:
        self.grid = grid

    @cached_property
    def all(self) -> tuple[Total, ...]:
        """Every stretch of two or more cells that a SUM or SUBTOTAL adds up, with the sum's cell."""
        return tuple(self._all())

    def _all(self) -> Iterator[Total]:
        from quotebook.audit.grid import walk

        for cell, tree in self.grid.trees.items():
            for node in walk(tree):
                if not isinstance(node, s.Call) or node.name not in _SUMS | _SKIP_NESTED:
                    continue
                for argument in node.arguments:
                    if not isinstance(argument, s.Reference | s.NameRef | s.TableRef):
                        continue
                    for use in self.grid.uses_in(argument, cell):
                        span = use.span
                        if span.size < 2 or span.size > 2000:
                            continue
                        if span.left == span.right or span.top == span.bottom:
                            yield Total(cell, span, span.left == span.right, node.name)

    @cached_property
    def covering(self) -> dict[Address, tuple[Total, ...]]:
        """The totals that each cell is counted in."""
        found: dict[Address, list[Total]] = {}
        for total in self.all:
            for cell in total.span.cells():
                found.setdefault(cell, []).append(total)
        return {cell: tuple(totals) for cell, totals in found.items()}

    def terms(self, cell: Address) -> Counter[Address] | None:
        """Return how often a formula adds each cell (less for subtracted ones), None if it does more than add."""
        tick()
        tree = self.grid.trees.get(cell)
        found: Counter[Address] = Counter()
        if tree is None or not self._add(tree, cell, 1, found):
            return None
        return found

    def is_sum(self, cell: Address) -> bool:
        """Tell whether a formula adds up two or more cells and does nothing else."""
        terms = self.terms(cell)
        return terms is not None and len(terms) > 1

    def _add(self, tree: s.Node, cell: Address, sign: int, found: Counter[Address]) -> bool:
        if isinstance(tree, s.Reference | s.NameRef | s.TableRef):
            uses = list(self.grid.uses_in(tree, cell))
            if len(uses) != 1 or uses[0].span.size > 2000:
                return False
            for each in uses[0].span.cells():
                found[each] += sign
            return True
        if isinstance(tree, s.Unary) and tree.operator in "+-@":
            return self._add(tree.operand, cell, -sign if tree.operator == "-" else sign, found)
        if isinstance(tree, s.Binary) and tree.operator in "+-":
            right = sign if tree.operator == "+" else -sign
            return self._add(tree.left, cell, sign, found) and self._add(tree.right, cell, right, found)
        if isinstance(tree, s.Chain) and set(tree.operators) <= {"+", "-"}:
            signs = [sign, *(sign if op == "+" else -sign for op in tree.operators)]
            return all(self._add(term, cell, each, found) for term, each in zip(tree.terms, signs, strict=True))
        if isinstance(tree, s.Call) and tree.name == "SUM":
            return all(self._add(argument, cell, sign, found) for argument in tree.arguments)
        if isinstance(tree, s.Call) and tree.name in ("ROUND", "ROUNDUP", "ROUNDDOWN") and tree.arguments:
            return self._add(tree.arguments[0], cell, sign, found)
        if isinstance(tree, s.Call) and tree.name in _SKIP_NESTED and len(tree.arguments) > 1:
            return all(self._add(argument, cell, sign, found) for argument in tree.arguments[1:])
        return False

    def leaves(self, cell: Address, depth: int = 0) -> Counter[Address]:
        """Return how often each figure is counted in a sum of sums; cells that do more than add stay whole."""
        terms = self.terms(cell) if depth < _DEEPEST else None
        if terms is None or cell in terms:
            return Counter({cell: 1})
        found: Counter[Address] = Counter()
        for term, count in terms.items():
            for leaf, inner in self.leaves(term, depth + 1).items():
                found[leaf] += inner * count
        return found


def totals_of(view: BookView) -> Totals:
    """Return the totals of a workbook, found once."""
    return view.shared(_totals)


def _totals(view: BookView) -> Totals:
    from quotebook.audit.foreign import foreign

    return Totals(foreign(view).grid)


def with_range(formula: str, old: Span, new: Span) -> str:
    """Return a formula text with one range written anew, ``$`` signs kept; unchanged if it is not written there."""
    first = rf"(?P<a>\$?){column_letters(old.left)}(?P<b>\$?){old.top}"
    last = rf"(?P<c>\$?){column_letters(old.right)}(?P<d>\$?){old.bottom}"
    pattern = re.compile(rf"(?<![\w.$]){first}:{last}(?![\w.])", re.IGNORECASE)

    def written(match: re.Match[str]) -> str:
        start = f"{match['a']}{column_letters(new.left)}{match['b']}{new.top}"
        return f"{start}:{match['c']}{column_letters(new.right)}{match['d']}{new.bottom}"

    return pattern.sub(written, formula.removeprefix("="), count=1)
