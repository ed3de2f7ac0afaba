"""Figures of different units are added or multiplied.

What it finds
    Minutes added to hours, millimetres to inches, or minutes multiplied by a rate per hour without a 60.

Why it costs money
    A factor of 60, 25.4 or 2.2 in the cost of a line.

Faulty
    under "Minutes" 40, under "Rate per hour" 60: =B5*C5

Sound
    =B5/60*C5

How to mend
    Convert one of the figures in the formula, or in a column of its own with its unit in the heading.

False alarms
    Labels without units are never judged; wrong labels are an alarm, but then they are what should be mended.

Source
    Catalogue row F31.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Mended, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import a1
from quotebook.audit.telling import label, shape, told
from quotebook.audit.units_read import Unit, leftover, mixed
from quotebook.audit.view import BookView
from quotebook.audit.written import factors, parts, with_part, written
from quotebook.engine import syntax as s
from quotebook.values import Address

CHECK = Check(
    "unit-mix", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.REASONING, rows=("F31", "V5")
)

_CONVERSIONS = frozenset({60.0, 3600.0, 1 / 60, 0.0167, 0.01667, 0.016667, 25.4, 1000.0, 0.001, 2.54, 10.0, 12.0})
_CONVERSIONS |= frozenset({2.20462, 2.2046, 2.205, 2.2, 0.4536, 0.45359237, 0.454, 100.0, 1e6, 1e9, 144.0, 1728.0})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula that mixes units."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        finding = _product(facts, cell, tree) or _sum(facts, cell, tree)
        if finding is not None:
            yield finding


def _product(facts: Foreign, cell: Address, tree: s.Node) -> Finding | None:
    for part in parts(tree):
        if not (isinstance(part.node, s.Binary) and part.node.operator in "*/"):
            continue
        if any(isinstance(over, s.Binary) and over.operator in "*/" for over in part.around[-1:]):
            continue
        product, names = _unit_of(facts, cell, part.node, part.around)
        clash = None if product is None else leftover(product)
        if clash is None:
            continue
        put_right: dict[Address, Mended] = {}
        if set(clash) == {"min", "h"} and product is not None:
            converted = s.Binary("/" if product.power("min") > 0 else "*", part.node, s.Number(60.0))
            put_right[cell] = Formula(written(with_part(tree, part.node, converted)))
        return told(
            CHECK,
            cell,
            facts.grid.formula(cell),
            f"a conversion between {clash[0]} and {clash[1]}",
            f"Convert {clash[0]} to {clash[1]} in the formula.",
            label("; ".join(names)),
            shape("the formula has no factor that converts one to the other"),
            put_right=put_right,
            alike="product",
        )
    return None


def _unit_of(facts: Foreign, cell: Address, node: s.Node, around: tuple[s.Node, ...]) -> tuple[Unit | None, list[str]]:
    """Return the unit of a product by its known factors, None where a factor converts or cannot be seen through."""
    product, names = Unit(()), []
    for over in around:
        if isinstance(over, s.Binary) and over.operator in "*/":
            return None, []
    for sign, factor in factors(node):
        if isinstance(factor, s.Number):
            if factor.value in _CONVERSIONS:
                return None, []
            continue
        if not isinstance(factor, s.Reference | s.NameRef):
            if any(isinstance(inner.node, s.Number) and inner.node.value in _CONVERSIONS for inner in parts(factor)):
                return None, []
            continue
        uses = list(facts.grid.uses_in(factor, cell))
        if len(uses) != 1 or uses[0].span.size != 1:
            return None, []
        place = next(uses[0].span.cells())
        said = facts.units.said(place)
        if said is None and facts.grid.is_constant_number(place) and facts.grid.number(place) in _CONVERSIONS:
            return None, []
        if said is not None:
            product = product.times(said, sign)
            names.append(f'{a1(place)} ("{facts.labels.of(place)}") is in {said}')
    return product, names


def _sum(facts: Foreign, cell: Address, tree: s.Node) -> Finding | None:
    for part in parts(tree):
        terms = _terms(part.node)
        known = [(term, facts.units.of_tree(term, cell)) for term in terms]
        sure = [(term, said) for term, said in known if said is not None]
        for term, said in sure[1:]:
            clash = mixed(sure[0][1], said)
            if clash is not None:
                return told(
                    CHECK,
                    cell,
                    facts.grid.formula(cell),
                    f"figures of one unit, not {clash[0]} and {clash[1]}",
                    f"Convert {clash[1]} to {clash[0]} before adding.",
                    label(f"{written(sure[0][0])} is in {sure[0][1]}, {written(term)} in {said}"),
                    shape("they are added without a conversion"),
                    alike="sum",
                )
    return None


def _terms(node: s.Node) -> list[s.Node]:
    if isinstance(node, s.Binary) and node.operator in "+-":
        return [node.left, node.right]
    if isinstance(node, s.Chain) and set(node.operators) <= {"+", "-"}:
        return list(node.terms)
    return []
