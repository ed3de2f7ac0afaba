"""What the shell and quotebook say to each other: one request in, one answer out, both JSON.

The shell carries out an answer and knows nothing of what it means. ``ask`` makes it ask the person and send the request
again with one more entry in ``answers``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from quotebook.errors import InputError

SCHEMA = 1


@dataclass(frozen=True, slots=True)
class Request:
    """``workbook``: a copy of what is on the screen. ``document``: where the person's own file lies, None if nowhere.

    ``answers``: what the person was asked before, by the question's key.
    """

    command: str
    workbook: Path
    document: Path | None = None
    answers: Mapping[str, Any] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Return how messages call the workbook."""
        return self.document.name if self.document is not None else "This workbook"


@dataclass(frozen=True, slots=True)
class Ask:
    """A question. ``suggest``: path that a file or folder dialog begins with. ``optional``: may be left unanswered."""

    key: str
    kind: Literal["save", "folder", "yes-no"]
    text: str
    suggest: str = ""
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """A sheet to be shown. A row holds texts, numbers, None, or a link ``{"text", "sheet", "cell"}``; first: headings.

    ``widths``: of the columns, in characters.
    """

    title: str
    rows: Sequence[Sequence[Any]]
    widths: Sequence[float]


@dataclass(frozen=True, slots=True)
class CellNote:
    """A mark: row and column from 1, ground as RRGGBB, and the note without its last line, which the shell writes."""

    sheet: str
    row: int
    column: int
    ground: str
    note: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What the shell is to do. ``tone``: info, warning or error. ``replace_marks``: clear earlier marks, put these.

    ``listing``: replaces the earlier list of its title; with ``gone`` the lists of these titles are taken away.
    """

    text: str = ""
    tone: Literal["info", "warning", "error"] = "info"
    ask: Ask | None = None
    replace_marks: bool = False
    marks: Sequence[CellNote] = ()
    listing: Listing | None = None
    gone: Sequence[str] = ()
    open: Sequence[str] = ()


def request_of(data: object) -> Request:
    """Return a request that came as JSON. Errors: InputError when it is none."""
    if not isinstance(data, dict) or data.get("schema") != SCHEMA:
        found = data.get("schema") if isinstance(data, dict) else type(data).__name__
        remedy = "the add-in and quotebook are of different versions: run quotebook addin install"
        raise InputError("request", [f"found schema {found!r}, expected {SCHEMA}; {remedy}"])
    command, workbook, document = data.get("command"), data.get("workbook"), data.get("document")
    answers = data.get("answers") or {}
    if not isinstance(command, str) or not isinstance(workbook, str) or not isinstance(answers, dict):
        raise InputError("request", ["found no command or no workbook, expected both; run quotebook addin install"])
    return Request(command, Path(workbook), Path(document) if isinstance(document, str) and document else None, answers)


def free_name(request: Request, ending: str) -> str:
    """Return a path beside the person's file that is not taken, as ``bracket-quotation.xlsx``."""
    beside = request.document or Path.home() / "workbook.xlsx"
    number, target = 1, beside.with_name(f"{beside.stem}-{ending}.xlsx")
    while target.exists():
        number += 1
        target = beside.with_name(f"{beside.stem}-{ending}-{number}.xlsx")
    return str(target)


def target_of(request: Request) -> Path | None:
    """Return the file that the person chose, None while nothing is chosen. Errors: InputError for the file itself."""
    chosen = request.answers.get("target")
    if not isinstance(chosen, str) or not chosen:
        return None
    target = Path(chosen)
    if request.document is not None and target.resolve() == request.document.resolve():
        raise InputError(str(target), ["found the workbook itself, expected another name; choose another name"])
    return target
