"""The checks there are: every file in ``audit/checks``, sorted by name."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterator
from functools import lru_cache
from importlib import import_module
from typing import NamedTuple

from quotebook.audit import checks
from quotebook.audit.finding import Check, Finding
from quotebook.audit.view import BookView

Find = Callable[[BookView], Iterator[Finding]]


class Registered(NamedTuple):
    """A check with its explanation and its function."""

    check: Check
    find: Find
    explanation: str
    module: str


@lru_cache(maxsize=1)
def all_checks() -> tuple[Registered, ...]:
    """Return every check, sorted by name. A file whose name begins with an underscore is no check."""
    found = []
    for module in pkgutil.iter_modules(checks.__path__):
        if module.name.startswith("_"):
            continue
        loaded = import_module(f"{checks.__name__}.{module.name}")
        found.append(Registered(loaded.CHECK, loaded.find, loaded.__doc__ or "", module.name))
    return tuple(sorted(found, key=lambda one: one.check.name))


@lru_cache(maxsize=512)
def check_named(name: str) -> Registered | None:
    """Return the check of a name, or None."""
    return next((one for one in all_checks() if one.check.name == name), None)
