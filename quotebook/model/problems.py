"""A problem found in a shop profile or a job, and the one sentence that tells it.

A sentence has four parts: where, what was found, what was expected, what to do.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from pydantic import BaseModel
from pydantic_core import PydanticCustomError

Place = tuple[str | int, ...]

#: The field by which a person knows a row of each list of tables.
ROW_KEYS = {
    "operation": "number",
    "cutting": "feature",
    "buyout": "name",
    "supplier_price": "line",
    "nonrecurring": "description",
    "hand_rate": "name",
    "work_center": "name",
    "material": "name",
    "sampling": "lot_from",
    "material_group": "name",
    "speed": "group",
    "extra": "item",
    "work_holding": "name",
    "standard_size": "form",
    "special_process": "name",
}
LONGEST_QUOTE = 80
#: Stands for a field that is not there at all.
NOTHING = object()


@dataclass(frozen=True)
class Problem:
    """What is wrong at a place (file words and row indexes from 0) of a shop profile or a job."""

    place: Place
    found: object
    allowed: str
    advice: str = "Correct it."


def quoted(value: object) -> str:
    """Return the found value in quotation marks, shortened; text is told apart from numbers."""
    if value is NOTHING:
        return "nothing"
    if value is None:
        return "an empty value"
    if isinstance(value, Mapping):
        return f'"{_short(", ".join(map(str, value)))}" (a table)'
    if isinstance(value, str):
        return f'"{_short(value)}" (text)'
    if isinstance(value, bool):
        return f'"{str(value).lower()}"'
    if isinstance(value, list | tuple) and any(isinstance(item, Mapping) for item in value):
        return f'"{len(value)} rows" (a list of tables)'
    if isinstance(value, list | tuple):
        return f'"{_short(", ".join(str(item) for item in value))}" (a list)'
    if isinstance(value, date):
        return f'"{value.isoformat()}"'
    return f'"{_short(_number_text(value))}"'


def _number_text(value: object) -> str:
    try:
        return str(value)
    except ValueError:
        # Python refuses to write whole numbers of more than some thousand digits.
        return "a whole number of thousands of digits"


def _short(text: str) -> str:
    flat = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in text)
    return flat if len(flat) <= LONGEST_QUOTE else flat[: LONGEST_QUOTE - 3] + "..."


def place_words(place: Place, data: object) -> str:
    """Return the place in plain words, with row numbers from 1 and the row's own key.

    For example ``operation 3 (number 30), scrap_share``. ``data`` is what the file held.
    """
    words: list[str] = []
    here: object = data
    for step in place:
        here = _inside(here, step)
        if isinstance(step, str):
            words.append(step.replace("\n", " "))
        elif words and words[-1] in ROW_KEYS:
            words[-1] += f" {step + 1}{_row_key(words[-1], here)}"
        else:
            words.append(f"value {step + 1}")
    return ", ".join(words) if words else "the file"


def _inside(here: object, step: str | int) -> object:
    if isinstance(here, Mapping):
        return here.get(step)
    if isinstance(here, Sequence) and isinstance(step, int) and step < len(here):
        return here[step]
    return None


def _row_key(table: str, row: object) -> str:
    key = ROW_KEYS[table]
    value = row.get(key) if isinstance(row, Mapping) else None
    return f" ({key} {_short(_number_text(value))})" if value not in (None, "") else ""


def sentence(problem: Problem, data: object, source: str = "") -> str:
    """Return the problem as one full sentence or two; ``source`` names the file."""
    where = place_words(problem.place, data)
    head = f"{source}, {where}" if source else where
    return f"{head}: found {quoted(problem.found)}, expected {problem.allowed}. {problem.advice}"


def refuse(problems: Iterable[Problem], model: BaseModel) -> None:
    """Raise pydantic's own kind of error when there is any problem, all of them in it."""
    found = tuple(problems)
    if found:
        data = model.model_dump(by_alias=True)
        text = " ".join(sentence(problem, data) for problem in found)
        raise PydanticCustomError("inconsistent", "{text}", {"text": text, "problems": found})
