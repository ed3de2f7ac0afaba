"""Whose the workbooks of one call are, gathered before any of them is audited.

Of each file only the few cells are read that say it. A file that has none of them, or that cannot be read, says
nothing; the audit of that file tells the reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path

from quotebook.audit.whose import Whose, is_telling, mails_in
from quotebook.clock import AUDIT_SECONDS, OutOfTime, within
from quotebook.errors import BookError
from quotebook.values import Value
from quotebook.workbook.glance import named_cells

_NAMES = ("customer_name", "customer_contact", "quote_number", "unit_price")


def whose(path: Path) -> Whose | None:
    """Return whose a workbook is; None where its customer is not said or is no name that can be looked for.

    A file that stays as it is is read once, so that a watched folder is not read anew at each save.
    """
    try:
        state = path.stat()
    except OSError:
        return None
    return _whose(path, state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=4096)
def _whose(path: Path, _changed: int, _size: int) -> Whose | None:
    try:
        with within(AUDIT_SECONDS):
            cells = named_cells(path, _NAMES)
    except (BookError, OutOfTime):
        return None
    customer = _text(cells, "customer_name")
    if not is_telling(customer):
        return None
    prices = cells.get("unit_price", ())[1:]  # the first is that of the first piece alone
    return Whose(
        path.name,
        customer,
        mails_in(_text(cells, "customer_contact")),
        _text(cells, "quote_number"),
        tuple(price for price in prices if isinstance(price, float) and price > 0),
    )


def all_whose(paths: Iterable[Path]) -> Mapping[Path, Whose]:
    """Return whose each of the files is, by resolved path; one file named twice is one."""
    files = sorted({path.resolve() for path in paths})
    found = {path: whose(path) for path in files} if len(files) > 1 else {}
    return {path: one for path, one in found.items() if one is not None}


def others_of(path: Path, known: Mapping[Path, Whose]) -> Sequence[Whose]:
    """Return whose the other files are, in an order of their own, whatever the order of the call."""
    own = path.resolve()
    return sorted({one for other, one in known.items() if other != own})


def _text(cells: Mapping[str, tuple[Value, ...]], name: str) -> str:
    value = next(iter(cells.get(name, ())), None)
    return " ".join(value.split()) if isinstance(value, str) else ""
