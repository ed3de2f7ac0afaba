"""The cases in ``cases/*.txt`` and the sheet that their formulas look at.

A line is ``formula => expected ; source``, with two optional parts: ``; lo: why LibreOffice answers otherwise`` and
``; near: tolerance`` for published figures with few digits. Sources: "hand" was worked out by hand, "published" is an
example of a published function description, "memory" is behaviour known from memory, "measured" was seen in a program.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from quotebook.engine import FormulaBook
from quotebook.values import Address, ErrorValue, Value

FOLDER = Path(__file__).parent / "cases"
FAMILIES = sorted(path.stem for path in FOLDER.glob("*.txt"))
#: Formulas stand below all data, so that no range means "the cell in my row".
FIRST_ROW = 101
COLUMN = 26


class Case(NamedTuple):
    """One line of a case file."""

    family: str
    formula: str
    expected: Value
    source: str
    libreoffice: str | None
    near: float


def cases(family: str) -> list[Case]:
    """Return the cases of one file."""
    found = []
    for line in (FOLDER / f"{family}.txt").read_text(encoding="utf-8").splitlines():
        if not line or line.startswith("# "):
            continue
        formula, rest = line.split(" => ")
        expected, source, *more = rest.split(" ; ")
        notes = dict(each.split(": ", 1) for each in more)
        assert set(notes) <= {"lo", "near"}, line
        assert source.split(":")[0].split(",")[0] in ("hand", "published", "memory", "measured in LibreOffice"), line
        near = float(notes.get("near", "1e-9"))
        found.append(Case(family, formula, literal(expected), source, notes.get("lo"), near))
    return found


def literal(written: str) -> Value:
    """Return the value that a case file writes."""
    if written.startswith('"'):
        return written[1:-1]
    if written in ("TRUE", "FALSE"):
        return written == "TRUE"
    return ErrorValue(written) if written.startswith("#") else float(written)


_COLUMNS: dict[str, list[Value]] = {
    "A": [10.0, 20.0, 30.0, 40.0, 50.0, None, "text", True, "7", None],
    "B": ["mill", "lathe", "mill", "deburr", "Mill 2", None, "x", "lathe", "mill", "a*b"],
    "C": [1.5, 2.5, 3.5, 4.5, 5.5],
    "E": [1.0, 5.0, 10.0, 25.0, 100.0],
    "F": ["a", "b", "c", "d", "e"],
    "H": [45443.0, 45444.75, 45292.0],
    "I": [1.0, 2.0, 3.0, 4.0, 5.0],
    "J": [2.0, 4.0, 5.0, 4.0, 5.0],
    "K": [1.0, 2.0, 3.0],
    "L": [60.0, 40.0, 20.0],
    "N": [12.5],
}
_FORMULAS = {"G1": "1/0", "G2": "NA()", "G3": '""', "K4": "SUBTOTAL(9,K1:K3)"}
NAMES: dict[tuple[str | None, str], str] = {
    (None, "Price"): "Data!$N$1",
    (None, "Factor"): "1.25",
    (None, "Doubled"): "Data!$A$1*2",
    (None, "Tens"): "Data!$A$1:$A$5",
    ("Other", "Local"): "Other!$A$1",
}


def place(reference: str) -> Address:
    """Return the address on the data sheet of a reference such as G1."""
    return Address("Data", int(reference[1:]), ord(reference[0]) - 64)


def book(
    formulas: dict[Address, str], *, array: bool = False, extra: dict[Address, Value] | None = None
) -> FormulaBook:
    """Return a book with the data of the tables and the formulas given."""
    inputs: dict[Address, Value] = {
        Address("Data", row, ord(letter) - 64): value
        for letter, column in _COLUMNS.items()
        for row, value in enumerate(column, start=1)
        if value is not None
    }
    inputs[Address("Other", 1, 1)] = 5.0
    inputs[Address("It's here", 1, 1)] = 9.0
    inputs.update(extra or {})
    return FormulaBook(
        sheets=("Data", "Other", "It's here"),
        formulas={**{place(cell): formula for cell, formula in _FORMULAS.items()}, **formulas},
        inputs=inputs,
        names=NAMES,
        arrays={cell: cell for cell in formulas} if array else {},
    )


def case_book(family: str) -> tuple[FormulaBook, dict[Address, Case]]:
    """Return one book with all cases of a family, each in a cell of its own."""
    placed = {Address("Data", FIRST_ROW + n, COLUMN): case for n, case in enumerate(cases(family))}
    formulas = {cell: case.formula for cell, case in placed.items()}
    return book(formulas, array=family == "arrays"), placed
