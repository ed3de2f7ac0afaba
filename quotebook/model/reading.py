"""Shop profiles and jobs from TOML or JSON files; every problem of a file is told at once."""

from __future__ import annotations

import copy
import json
import tomllib
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from quotebook.errors import InputError
from quotebook.model.base import Part
from quotebook.model.job import Job
from quotebook.model.names import suggestion
from quotebook.model.problems import ROW_KEYS, Problem, quoted, sentence
from quotebook.model.refusals import problems_of
from quotebook.model.shop import Shop

Model = TypeVar("Model", bound=Part)

#: A job of hundreds of operations is far smaller; whatever is larger is not a job.
LARGEST_FILE_BYTES = 10_000_000


def read_shop(path: str | Path) -> Shop:
    """Read a shop profile from a .toml or .json file.

    Errors: InputError with every problem, when the file cannot be read or the profile is refused.
    """
    return shop_from_data(_read_table(Path(path)), str(path))


def read_job(path: str | Path) -> Job:
    """Read a job from a .toml or .json file.

    Errors: InputError with every problem, when the file cannot be read or the job is refused.
    """
    return job_from_data(_read_table(Path(path)), str(path))


def read_part(model: type[Model], path: str | Path) -> Model:
    """Read any other kind of checked table from a .toml or .json file. Errors: InputError with every problem."""
    return _from_data(model, _read_table(Path(path)), str(path))


def shop_from_data(data: object, source: str) -> Shop:
    """Build a shop profile from plain tables in the file's words; ``source`` is named in every problem.

    Errors: InputError with every problem.
    """
    return _from_data(Shop, data, source)


def job_from_data(data: object, source: str) -> Job:
    """Build a job from plain tables in the file's words; ``source`` is named in every problem.

    Errors: InputError with every problem.
    """
    return _from_data(Job, data, source)


def _from_data(model: type[Model], data: object, source: str) -> Model:
    data, problems = _singular_words(model, data)
    try:
        built = model.model_validate(data)
        if not problems:
            return built
    except ValidationError as error:
        refused = list(problems_of(error, model))
        problems += [*refused, *_problems_behind(model, data, refused)]
    raise InputError(source, [sentence(problem, data, source) for problem in problems])


def _singular_words(model: type[Part], data: object) -> tuple[object, list[Problem]]:
    """Refuse Python's plural attribute names in a file: there each list has one word, the singular one.

    Shape:  the data under the words that were meant, so that the rest can be checked too, and the problems.
    """
    if not isinstance(data, dict):
        return data, []
    aliases = {name: str(f.validation_alias) for name, f in model.model_fields.items() if f.validation_alias}
    problems = [
        Problem((word,), data[word], "no field of this name", suggestion(aliases[word], [aliases[word]]))
        for word in data
        if word in aliases
    ]
    return {aliases.get(word, word): value for word, value in data.items()}, problems


def _problems_behind(model: type[Part], data: object, problems: list[Problem]) -> list[Problem]:
    """Return the contradictions between rows that the refused values had hidden.

    The refused fields are left out and the rest is checked again. Where a row's own key or a required
    field is among them, the rest cannot be judged without inventing problems, and nothing is added.
    """
    rest: Any = copy.deepcopy(data)
    for problem in problems:
        *path, last = problem.place or ("",)
        here = rest
        for step in path:
            here = here.get(step) if isinstance(here, dict) else here[int(step)] if isinstance(here, list) else None
        if not isinstance(here, dict) or last in (*ROW_KEYS.values(), *ROW_KEYS, "operation", "units"):
            return []
        here.pop(last, None)
    try:
        model.model_validate(rest)
    except ValidationError as error:
        return [p for p in problems_of(error, model) if p.place not in {q.place for q in problems}]
    return []


def _read_table(path: Path) -> object:
    """Return what a .toml or .json file holds, or refuse it in one sentence."""
    suffix = path.suffix.lower()
    if suffix not in (".toml", ".json"):
        raise _unreadable(path, f"found a file name ending in {quoted(path.suffix)}, expected .toml or .json")
    try:
        size = path.stat().st_size
        if path.is_dir():
            raise _unreadable(path, "found a folder, expected a file. Give the file inside it.")
        if size > LARGEST_FILE_BYTES:
            raise _unreadable(path, f'found "{size}" bytes, expected at most {LARGEST_FILE_BYTES}')
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        raise _unreadable(path, "found no such file, expected a .toml or .json file. Check the path.") from error
    except (OSError, ValueError) as error:
        if isinstance(error, UnicodeDecodeError):
            line = error.object[: error.start].count(b"\n") + 1
            raise _unreadable(path, f"line {line}: found bytes that are not UTF-8 text. Save it as UTF-8.") from error
        raise _unreadable(path, f"it cannot be read ({error}). Check the path and its permissions.") from error
    return _parse_toml(path, text) if suffix == ".toml" else _parse_json(path, text)


def _parse_toml(path: Path, text: str) -> object:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        reason = str(error)
        if "at end of document" in reason:
            reason = reason.replace("at end of document", f"at line {text.count(chr(10)) + 1}, the end of the file")
        raise _unreadable(path, f"it is not TOML: {reason}. Correct that line.") from error
    except (ValueError, RecursionError) as error:
        raise _unreadable(path, f"it is not usable TOML: {error}. Correct the file.") from error


def _parse_json(path: Path, text: str) -> object:
    try:
        return json.loads(text, object_pairs_hook=_table_without_repeats)
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise _unreadable(path, f"it is not JSON: {error.msg} (at {where}). Correct that line.") from error
    except (ValueError, RecursionError) as error:
        raise _unreadable(path, f"it is not usable JSON: {error}. Correct the file.") from error


def _table_without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table: dict[str, Any] = {}
    for word, value in pairs:
        if word in table:
            raise ValueError(f'the field "{word}" stands twice in one table')
        table[word] = value
    return table


def _unreadable(path: Path, reason: str) -> InputError:
    return InputError(str(path), [f"{path}: {reason}"])
