"""TEXT: numbers and dates as a format shows them."""

from __future__ import annotations

from contextlib import suppress

from quotebook.engine.convert import CellError, number_from_text
from quotebook.engine.numberformat import show
from quotebook.engine.registry import function
from quotebook.engine.runtime import Environment
from quotebook.values import Value


@function("TEXT", "v t", "t", environment=True)
def as_text(env: Environment, value: Value, pattern: str) -> str:
    """Return a value as a number format shows it; NotSupported for a format that is not known here."""
    if isinstance(value, str):
        with suppress(CellError):
            value = number_from_text(value)
    return show(0.0 if value is None else value, pattern, env.date1904)
