"""The allow-list of functions: each is registered with what its arguments are, and nothing else can be called.

Kinds of arguments:

    n  a number          t  a text            b  a logical
    v  a scalar as it is, errors go through   e  a scalar, errors are handed over
    r  a reference       a  a scalar, a reference or an array; errors are handed over in arrays
    x  like a, and errors of scalars are handed over too
    A  like a, and expressions are computed array-wise, as SUMPRODUCT does
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from importlib import import_module
from typing import Any, NamedTuple

_FAMILIES: tuple[str, ...] = (
    "math",
    "rounding",
    "statistics",
    "distributions",
    "conditional",
    "lookup",
    "text",
    "format",
)
_FAMILIES += ("logical", "date", "information", "financial")


class Function(NamedTuple):
    """One function: its arguments and what it returns ("n", "t", "b", "v" any scalar, "a" perhaps an array)."""

    name: str
    required: tuple[str, ...]
    optional: tuple[str, ...]
    repeated: tuple[str, ...]
    returns: str
    call: Callable[..., Any]
    #: The function wants the run's environment (date system, today) as its first argument.
    environment: bool = False
    volatile: bool = False

    def kinds(self, count: int) -> tuple[str, ...] | None:
        """Return the kind of each of ``count`` arguments, or None when the function does not take so many."""
        if count < len(self.required):
            return None
        kinds = self.required + self.optional
        if count <= len(kinds):
            return kinds[:count]
        if not self.repeated or (count - len(kinds)) % len(self.repeated):
            return None
        return kinds + self.repeated * ((count - len(kinds)) // len(self.repeated))

    def arity(self) -> str:
        """Return how many arguments it takes, in words."""
        least = len(self.required)
        if self.repeated:
            return f"{least} or more"
        most = least + len(self.optional)
        return str(least) if least == most else f"{least} to {most}"


_FUNCTIONS: dict[str, Function] = {}
_SIGNATURE = re.compile(r"(?P<required>[a-zA ]*)(?:\[(?P<optional>[a-zA ]*)\])?\s*(?:\((?P<repeated>[a-zA ]*)\)\*)?")

Registered = Callable[[Callable[..., Any]], Callable[..., Any]]


def function(
    names: str, signature: str, returns: str, *, environment: bool = False, volatile: bool = False
) -> Registered:
    """Register a function under one or several names.

    ``signature`` is required kinds, then ``[optional]``, then ``(repeated)*``: "n [n]", "a (a)*".
    """
    match = _SIGNATURE.fullmatch(signature.strip())
    assert match is not None, f"the signature {signature!r} of {names} cannot be read"
    parts = [tuple((match[part] or "").split()) for part in ("required", "optional", "repeated")]

    def register(call: Callable[..., Any]) -> Callable[..., Any]:
        for name in names.split():
            assert name not in _FUNCTIONS, f"{name} is registered twice"
            _FUNCTIONS[name] = Function(name, parts[0], parts[1], parts[2], returns, call, environment, volatile)
        return call

    return register


@lru_cache(maxsize=1)
def functions() -> dict[str, Function]:
    """Return the whole allow-list by name; special forms such as IF are listed in ``special``."""
    for family in _FAMILIES:
        import_module(f"quotebook.engine.functions.{family}")
    return _FUNCTIONS
