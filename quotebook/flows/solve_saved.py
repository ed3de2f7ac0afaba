"""The one input that was found, typed into a copy of the workbook, with every result that follows from it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from quotebook.engine import evaluate
from quotebook.errors import InputError
from quotebook.flows.against_stored import fresh_results
from quotebook.flows.opening import open_workbook
from quotebook.flows.solve import Solution, Solved
from quotebook.workbook.changes import NewInput
from quotebook.workbook.patch import write_copy

#: Decimals of the longest number that is typed.
_MOST_DECIMALS = 12


def save_solution(solved: Solved, target: Path, *, force: bool = False) -> float:
    """Write the copy and return the number typed: of a stretch the one with the fewest decimals.

    Errors: InputError where there is no input, or more than one, to choose; BookError, TargetExists.
    """
    if len(solved.hits) != 1:
        found = "several inputs that give the target" if solved.hits else "no input that gives the target"
        raise InputError(solved.file, [f"--save-as: found {found}, expected one; nothing was written"])
    value = shortest(solved.hits[0])
    opened = open_workbook(Path(solved.file))
    cell = solved.input.address
    book = replace(opened.book, inputs={**opened.book.inputs, cell: value})
    write_copy(solved.file, target, {**fresh_results(opened, evaluate(book)), cell: NewInput(value)}, force=force)
    return value


def shortest(solution: Solution) -> float:
    """Return the number of a stretch that has the fewest decimals, near its middle."""
    middle = (solution.low + solution.high) / 2
    for decimals in range(_MOST_DECIMALS):
        value = round(middle, decimals)
        if solution.low <= value <= solution.high:
            return value
    return middle
