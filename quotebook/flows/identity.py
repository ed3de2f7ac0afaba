"""How a request to a supplier is recognised when it comes back.

A reference names job, revision and supplier by digests, so that it tells a supplier nothing: neither part nor customer
can be read from it, and the customer is not in it at all. Rows are named by line and quantity, never by position.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from hashlib import sha256

from quotebook.errors import InputError
from quotebook.model import Job, name_key

_REFERENCE = re.compile(r"R-([0-9A-F]{8})-([0-9A-F]{4})-([0-9A-F]{4})")
_ITEM = re.compile(r"L-([0-9A-F]{8})-([0-9]{1,9})")


@dataclass(frozen=True, slots=True)
class Reference:
    """Whom a request went to and what it was for."""

    job: str
    revision: str
    supplier: str

    def __str__(self) -> str:
        return f"R-{self.job}-{self.revision}-{self.supplier}"


def reference_of(job: Job, supplier: str) -> Reference:
    """Return the reference of a request. Errors: InputError when the job has neither part nor quotation number."""
    head = job.job
    if not (head.part_number.strip() or head.quote_number.strip()):
        raise InputError(
            "job",
            ["part_number and quote_number are both blank; a returned request is matched by them. Fill one of them."],
        )
    base = f"{_key(head.quote_number)}\n{_key(head.part_number)}"
    revision = f"{base}\n{_key(head.revision)}"
    return Reference(_digest(base, 8), _digest(revision, 4), _digest(_key(supplier), 4))


def read_reference(text: str) -> Reference | None:
    """Return the reference that a text holds, or None."""
    match = _REFERENCE.search(text.upper())
    return Reference(*match.groups()) if match else None


def item_id(line: str, quantity: int) -> str:
    """Return the identity of a row: its line and its quantity."""
    return f"L-{_digest(_key(line), 8)}-{quantity}"


def read_item(text: str) -> tuple[str, int] | None:
    """Return line token and quantity of a row's identity, or None where somebody changed it."""
    match = _ITEM.fullmatch(text.strip().upper())
    return (match[1], int(match[2])) if match else None


def line_token(line: str) -> str:
    """Return how a line is named inside row identities."""
    return _digest(_key(line), 8)


def _key(text: str) -> str:
    return name_key(text.strip())


def _digest(text: str, length: int) -> str:
    return sha256(text.encode()).hexdigest()[:length].upper()
