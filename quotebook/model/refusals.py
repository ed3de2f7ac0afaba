"""Pydantic's errors about a shop profile or a job, told as problems in the shop's own words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, ValidationError

from quotebook.model.fields import Kind
from quotebook.model.names import suggestion
from quotebook.model.problems import NOTHING, Place, Problem


def problems_of(error: ValidationError, model: type[BaseModel]) -> Iterator[Problem]:
    """Yield every problem that a validation of ``model`` found, in the order of the file's words."""
    for detail in error.errors(include_url=False):
        if detail["type"] == "inconsistent":
            yield from detail["ctx"]["problems"]
        else:
            yield _problem(detail["type"], detail["loc"], detail["input"], detail.get("ctx", {}), model)


def _problem(kind: str, place: Place, found: object, context: Mapping[str, Any], model: type[BaseModel]) -> Problem:
    if kind == "extra_forbidden":
        names = _field_words(_annotation(model, place[:-1]))
        word = str(place[-1])
        return Problem(place, found, "no field of this name", suggestion(word, names))
    allowed = _allowed(_annotation(model, place))
    if kind == "missing":
        return Problem(place, NOTHING, allowed, "Add it; it has no default.")
    if kind in ("too_long", "too_short"):
        limit = f"at most {context['max_length']}" if kind == "too_long" else f"at least {context['min_length']}"
        count = len(found) if isinstance(found, list | tuple) else found
        return Problem(place, count, f"{limit} of them", "Change how many there are.")
    return Problem(place, found, allowed, _advice(found, allowed, _annotation(model, place)))


def _advice(found: object, allowed: str, annotation: Any) -> str:
    choices = _choices(annotation)
    if choices and isinstance(found, str):
        return suggestion(found, choices)
    if isinstance(found, str) and "text" not in allowed and "day" not in allowed and "name" not in allowed:
        return "Write the value alone, without quotation marks or a unit."
    return "Correct it."


def _annotation(model: Any, place: Place) -> Any:
    """Follow a place through the models; return the annotation there, with a Kind where the field has one."""
    here: Any = model
    for step in place:
        if isinstance(step, int):
            here = next((arg for arg in get_args(here) if arg is not Ellipsis), None)
        else:
            here = _field_annotation(here, step)
    return here


def _field_annotation(model: Any, word: str) -> Any:
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        return None
    for name, field in model.model_fields.items():
        if word in (name, field.validation_alias):
            kind = next((item for item in field.metadata if isinstance(item, Kind)), None)
            return kind or field.annotation
    return None


def _kind_within(annotation: Any) -> Kind | None:
    """Find the Kind of an optional field, which pydantic leaves inside the union."""
    if isinstance(annotation, Kind):
        return annotation
    for item in (*get_args(annotation), *getattr(annotation, "__metadata__", ())):
        found = item if isinstance(item, Kind) else _kind_within(item) if item is not annotation else None
        if found is not None:
            return found
    return None


def _choices(annotation: Any) -> list[str]:
    if get_origin(annotation) is Literal:
        return list(get_args(annotation))
    return [choice for arg in get_args(annotation) if get_origin(arg) is Literal for choice in get_args(arg)]


def _allowed(annotation: Any) -> str:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return f"a table with the fields {', '.join(_field_words(annotation))}"
    choices = _choices(annotation)
    if choices:
        return "one of " + ", ".join(f'"{choice}"' for choice in choices)
    if get_origin(annotation) is tuple:
        inner = get_args(annotation)[0]
        kind = _kind_within(inner)
        return f"a list of values, each {kind.words}" if kind else "a list of tables, each under its [[word]]"
    kind = _kind_within(annotation)
    return kind.words if kind else "a value of another kind"


def _field_words(model: Any) -> list[str]:
    """Return the words of a table in the file."""
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        return []
    return [str(field.validation_alias or name) for name, field in model.model_fields.items()]
