"""Findings that somebody has looked at and accepts: quiet until the cell changes.

The accept file is TOML, one ``[[accept]]`` for each finding: ``check``, ``sheet``, ``cells``, ``digest`` of what the
cells held, ``who``, ``why`` and ``date``. ``file`` (its name, without folders) is optional and ties it to one workbook.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from quotebook.audit.finding import Finding
from quotebook.audit.place import area_of
from quotebook.audit.view import BookView
from quotebook.errors import InputError
from quotebook.values import Address

_DIGITS = 16


class Acceptance(BaseModel):
    """One accepted finding."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    check: str = Field(min_length=1)
    sheet: str = ""
    cells: str = ""
    digest: str = Field(min_length=_DIGITS, max_length=_DIGITS)
    who: str = Field(min_length=1, description="who looked at it")
    why: str = Field(min_length=1, description="why it may stay")
    date: date
    file: str = ""


def read_accepted(path: Path) -> tuple[Acceptance, ...]:
    """Return the acceptances of a file. Errors: InputError with every problem found."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(str(path), [f"found a file that cannot be read ({error}), expected TOML"]) from error
    rows = data.get("accept", [])
    if set(data) - {"accept"} or not isinstance(rows, list):
        raise InputError(str(path), [f"found {', '.join(data)}, expected [[accept]] tables and nothing else"])
    found: list[Acceptance] = []
    problems: list[str] = []
    for number, row in enumerate(rows, start=1):
        try:
            found.append(Acceptance.model_validate(row))
        except ValidationError as error:
            problems += [_sentence(number, one) for one in error.errors()]
    if problems:
        raise InputError(str(path), problems)
    return tuple(found)


def _sentence(number: int, error: Any) -> str:
    where = ".".join(str(step) for step in error["loc"])
    return f"accept {number}, {where}: found {error['input']!r}; {error['msg']}"


def cell_digest(view: BookView, finding: Finding) -> str:
    """Return the digest of what a finding's cells hold: formulas and constants, never results.

    A finding about the workbook as a whole is digested by what was found.
    """
    area = area_of(finding.cells)
    if area is None:
        return _digest([finding.found])
    sheet = view.snapshot.sheet(finding.sheet)
    cells = {} if sheet is None else sheet.cells
    held = [f"{key}{view.content(Address(finding.sheet, *key))}" for key in sorted(area.keys_in(cells))]
    return _digest([finding.cells, *held])


def _digest(lines: Sequence[str]) -> str:
    return sha256("\n".join(lines).encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]


def split_accepted(
    view: BookView, findings: Sequence[Finding], accepted: Sequence[Acceptance]
) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
    """Return the findings that speak and those that are kept quiet."""
    quiet = {
        (one.check, one.sheet.casefold(), one.cells, one.digest)
        for one in accepted
        if not one.file or one.file == view.path.name
    }
    if not quiet:
        return tuple(findings), ()
    left: list[Finding] = []
    kept_quiet: list[Finding] = []
    for finding in findings:
        key = (finding.check, finding.sheet.casefold(), finding.cells, cell_digest(view, finding))
        (kept_quiet if key in quiet else left).append(finding)
    return tuple(left), tuple(kept_quiet)


def acceptance_text(view: BookView, finding: Finding, today: date) -> str:
    """Return the lines that accept a finding, for a person to complete with who and why."""
    rows = [
        ("check", finding.check),
        ("sheet", finding.sheet),
        ("cells", finding.cells),
        ("digest", cell_digest(view, finding)),
        ("file", view.path.name),
        ("who", ""),
        ("why", ""),
    ]
    lines = [f"{key} = {_quoted(text)}" for key, text in rows]
    return "\n".join(["[[accept]]", *lines, f"date = {today.isoformat()}"])


def _quoted(text: str) -> str:
    import tomli_w

    return tomli_w.dumps({"x": text})[4:].strip()
