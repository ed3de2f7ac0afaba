"""A figure is counted twice in one sum.

What it finds
    A sum that holds a line and a sub-total of that line, the same cell twice, or its range and one cell of it again.

Why it costs money
    The quote is too dear by that line, and the order goes elsewhere; or a credit is given twice.

Faulty
    E9 is =SUM(E5:E8), the total is =SUM(E5:E9)

Sound
    E9 is =SUM(E5:E8), the total is =E9

How to mend
    Add either the lines or their sub-total.

False alarms
    A figure that is meant to count twice ("both sides") is clearer as a quantity of 2.

Source
    Catalogue rows F6 and F9; long ranges and repeated terms are operators of published fault seeding (CRE, NRE).
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import Span, a1, shown
from quotebook.audit.telling import on, shape, told, value
from quotebook.audit.totals import Total, Totals, totals_of, with_range
from quotebook.audit.view import BookView
from quotebook.values import Address

CHECK = Check(
    "counted-twice", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.REASONING, rows=("F6", "F9")
)


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each sum whose own terms overlap."""
    facts, totals = foreign(view), totals_of(view)
    for cell in facts.grid.trees:
        terms = totals.terms(cell)
        if terms is None or len(terms) + sum(count > 1 for count in terms.values()) < 2:
            continue
        if cell in terms:
            continue  # a loop, which another check tells of
        finding = _repeated(facts, cell, terms) or _sub_total(facts, totals, cell, terms)
        if finding is not None:
            yield finding


def _repeated(facts: Foreign, cell: Address, terms: dict[Address, int]) -> Finding | None:
    twice = [term for term, count in terms.items() if count > 1 and facts.grid.number(term)]
    if not twice:
        return None
    formula, name = facts.grid.formula(cell), a1(twice[0])
    figure = shown(facts.grid.value(twice[0]))
    mended = _without(formula.removeprefix("="), name)
    return told(
        CHECK,
        cell,
        f"{formula}, which counts {on(twice[0], cell.sheet)} ({figure}) twice",
        f"={mended}" if mended else "each line once",
        "Take the repeated line out of the formula, or put in the one that was meant.",
        shape(f"{name} is among the terms {terms[twice[0]]} times"),
        value(f"{name} holds {figure}"),
        put_right={cell: Formula(mended)} if mended else None,
    )


def _without(formula: str, name: str) -> str:
    """Return the formula without its last ``+name``; "" where it is not written so."""
    for written in (f"+{name}", f",{name}"):
        head, found, tail = formula.rpartition(written)
        if found and not tail[:1].isalnum():
            return head + tail
    return ""


def _sub_total(facts: Foreign, totals: Totals, cell: Address, terms: dict[Address, int]) -> Finding | None:
    """Find a term that is itself made of other terms."""
    function = facts.grid.formula(cell).upper()
    for term in terms:
        if term not in facts.grid.trees or "SUBTOTAL(" in function or "AGGREGATE(" in function:
            continue
        inner = totals.leaves(term)
        parts = [leaf for leaf in inner if leaf != term and leaf in terms and facts.grid.number(leaf)]
        if not parts or terms[term] * terms[parts[0]] < 0:
            continue
        mended = _shorter(facts, totals, cell, term)
        return told(
            CHECK,
            cell,
            f"{facts.grid.formula(cell)}, which counts {on(term, cell.sheet)} and its parts ({_few(parts)})",
            f"={mended}" if mended else "the sub-total or its parts, not both",
            "Add either the lines or their sub-total.",
            shape(f"{a1(term)} is {facts.grid.formula(term)}"),
            value(f"{a1(parts[0])} = {shown(facts.grid.value(parts[0]))} is in both"),
            put_right={cell: Formula(mended)} if mended else None,
        )
    return None


def _few(parts: list[Address]) -> str:
    return ", ".join(map(a1, parts[:3])) + (" ..." if len(parts) > 3 else "")


def _shorter(facts: Foreign, totals: Totals, cell: Address, term: Address) -> str:
    """Return the formula with the sub-total cut off the end of its range, "" where it does not stand at an end."""
    formula = facts.grid.book.formulas[cell]
    for total in totals.all:
        if total.cell == cell and total.span.holds(term) and total.span.size > 2:
            span = _cut(total, term)
            mended = with_range(formula, total.span, span) if span != total.span else formula
            if mended.removeprefix("=") != formula.removeprefix("="):
                return mended
    return ""


def _cut(total: Total, term: Address) -> Span:
    first, last = total.ends
    if term == total.at(last):
        return total.stretched(first, last - 1)
    return total.stretched(first + 1, last) if term == total.at(first) else total.span
