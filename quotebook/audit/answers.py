"""How the guessed prices of a workbook without a contract answer to each of its inputs."""

from __future__ import annotations

from typing import NamedTuple

from quotebook.audit.foreign import foreign
from quotebook.audit.nudge import Response, nudge
from quotebook.audit.roles import Role, roles_of
from quotebook.audit.view import BookView
from quotebook.values import Address

#: Workbooks with more inputs on the way to the price are nudged at the first so many only.
MOST_INPUTS = 400


class Answer(NamedTuple):
    """One input, what it seems to be for, its labels in small letters, and how the prices answer to it."""

    cell: Address
    role: Role | None
    words: str
    response: Response


def answers(view: BookView) -> tuple[Answer, ...]:
    """Return the answers to every typed number that the price depends on, worked out once."""
    return view.shared(_answers)


def _answers(view: BookView) -> tuple[Answer, ...]:
    facts, roles = foreign(view), roles_of(view)
    prices = [price.address for price in view.price_cells]
    inputs = sorted(cell for cell in view.price_path if facts.grid.is_constant_number(cell))[:MOST_INPUTS]
    responses = nudge(view, inputs, prices)
    return tuple(
        Answer(cell, roles.of(cell), facts.labels.of(cell).words, response) for cell, response in responses.items()
    )
