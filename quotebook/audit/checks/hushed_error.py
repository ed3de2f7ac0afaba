"""An error is caught and turned into a zero or a blank.

What it finds
    IFERROR and the like whose inner formula is an error right now and whose answer is 0, a blank or a fixed figure.

Why it costs money
    A rate that is not found costs nothing: the line is in the quote at zero.

Faulty
    =IFERROR(VLOOKUP("Mill 5",Rates,2,FALSE)*C5,0), and there is no "Mill 5"

Sound
    =VLOOKUP(B5,Rates,2,FALSE)*C5, with every machine in the table

How to mend
    Take IFERROR away, see the error, mend its cause.

False alarms
    A look-up with a blank key, where nothing is to be found, is no alarm. One that may lawfully find nothing should say
    so in words, not in a zero.

Source
    Catalogue row F24; trade experience.
"""

from __future__ import annotations

from collections.abc import Iterator

from quotebook.audit.finding import Check, Finding, Formula, Kind, Need, Severity, When
from quotebook.audit.foreign import Foreign, foreign
from quotebook.audit.grid import walk
from quotebook.audit.telling import shape, told, value
from quotebook.audit.view import BookView
from quotebook.audit.written import written
from quotebook.engine import syntax as s
from quotebook.engine.book import Status
from quotebook.values import Address, ErrorValue

CHECK = Check(
    "hushed-error", Severity.PROBABLY_WRONG, (Need.NO_CONTRACT,), When.WRONG_NOW, Kind.BENT_RULE, rows=("F24",)
)

_CATCHERS = frozenset({"IFERROR", "IFNA"})
_TESTS = frozenset({"ISERROR", "ISERR", "ISNA"})
_LOOKUPS = frozenset({"VLOOKUP", "HLOOKUP", "XLOOKUP", "MATCH", "LOOKUP", "INDEX"})


def find(view: BookView) -> Iterator[Finding]:
    """Yield one finding for each formula that hides an error now, or could hide one behind a zero."""
    facts = foreign(view)
    for cell, tree in facts.grid.trees.items():
        for node in walk(tree):
            caught = _caught(node)
            if caught is None:
                continue
            inner, instead = caught
            result = view.what_if.results({cell: Formula(written(inner))}, [cell])[0]
            if result.status is Status.EVALUATED and isinstance(result.value, ErrorValue):
                if not _nothing_to_find(facts, cell, inner):
                    yield _firing(view, cell, inner, instead, result.value)
            elif isinstance(instead, s.Number) and instead.value == 0 and view.is_on_price_path(cell):
                yield _could_fire(facts, cell, inner)
            break


def _caught(node: s.Node) -> tuple[s.Node, s.Node] | None:
    """Return what is guarded and what is said instead of an error."""
    if not isinstance(node, s.Call):
        return None
    if node.name in _CATCHERS and len(node.arguments) == 2:
        return node.arguments[0], node.arguments[1]
    if node.name == "IF" and len(node.arguments) == 3:
        test = node.arguments[0]
        if isinstance(test, s.Call) and test.name in _TESTS and test.arguments:
            return test.arguments[0], node.arguments[1]
    return None


def _nothing_to_find(facts: Foreign, cell: Address, inner: s.Node) -> bool:
    """Tell whether the guarded part looks up or divides by a cell that is blank: the line is not in use."""
    for node in walk(inner):
        key: s.Node | None = None
        if isinstance(node, s.Call) and node.name in _LOOKUPS - {"INDEX"} and node.arguments:
            key = node.arguments[0]
        elif isinstance(node, s.Binary) and node.operator == "/":
            key = node.right
        if isinstance(key, s.Reference | s.NameRef):
            uses = list(facts.grid.uses_in(key, cell))
            if len(uses) == 1 and not facts.grid.filled(uses[0].span):
                return True
    return False


def _firing(view: BookView, cell: Address, inner: s.Node, instead: s.Node, error: ErrorValue) -> Finding:
    facts = foreign(view)
    on_path = view.is_on_price_path(cell)
    plain = isinstance(instead, s.Number | s.Text | s.Missing)
    return told(
        CHECK,
        cell,
        f"{facts.grid.formula(cell)}, which hides {error}",
        f"={written(inner)} without an error",
        "Take the guard away, see the error, mend its cause.",
        value(f"{written(inner)} is {error} now"),
        shape(f"the answer instead is {written(instead) or 'nothing'}")
        if plain
        else value("another formula answers instead"),
        severity=CHECK.severity if on_path and plain else Severity.LOOK_AT_IT,
        alike=str(error),
        explained_by=[each for each in view.links.precedents(cell) if isinstance(view.book.inputs.get(each), str)],
    )


def _could_fire(facts: Foreign, cell: Address, inner: s.Node) -> Finding:
    return told(
        CHECK,
        cell,
        facts.grid.formula(cell),
        f"={written(inner)}",
        "Let the error show, or answer in words that stop the price.",
        shape("an error would count as 0 in the price"),
        severity=Severity.REMARK,
        alike="could",
    )
