"""When two names are the same, and which known name a misspelt one was meant to be."""

from __future__ import annotations

from collections.abc import Iterable

#: Below this likeness (0 to 100) a suggestion would puzzle rather than help; tried on slips of one or two letters.
LIKENESS_NEEDED = 65.0


def name_key(name: str) -> str:
    """Return the form under which names are compared: upper and lower case are alike, as in a sheet's lookup."""
    return name.casefold()


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word most like ``word``, or None when none is like it."""
    from rapidfuzz import fuzz, process  # only a misspelt name needs it

    found = process.extractOne(
        word, list(known), scorer=fuzz.ratio, processor=str.casefold, score_cutoff=LIKENESS_NEEDED
    )
    return found[0] if found else None


def suggestion(word: str, known: Iterable[str]) -> str:
    """Return a sentence that helps to correct ``word``: the nearest known word, or all of them."""
    names = list(known)
    near = nearest(word, names)
    if near is not None:
        return f'Did you mean "{near}"?'
    if not names:
        return "There is none to choose from; add it first."
    listed = ", ".join(f'"{name}"' for name in names)
    return f"There are: {listed}."
