"""What the commands of the loop share: tables on the terminal, JSON, progress that is silent elsewhere."""

from __future__ import annotations

import dataclasses
import datetime
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

#: Columns of a table that goes to a file or a pipe; a terminal's own width is not asked for there.
WIDTH = 160


def console() -> Console:
    """Return a console as wide as the terminal, or of a fixed width where there is none."""
    if sys.stdout.isatty():
        return Console(highlight=False)
    return Console(highlight=False, width=WIDTH)


def print_table(headings: Sequence[str], rows: Sequence[Sequence[str]], title: str = "", right: str = "") -> None:
    """Print a table; ``right``: one letter a column, r for figures set to the right."""
    table = Table(title=title or None, title_justify="left", show_edge=False, pad_edge=False)
    for index, heading in enumerate(headings):
        table.add_column(heading, justify="right" if right[index : index + 1] == "r" else "left", overflow="fold")
    for row in rows:
        table.add_row(*(Text(entry) for entry in row))
    console().print(table)


def say(text: str, *, bold: bool = False) -> None:
    """Print a sentence as it is."""
    console().print(Text(text, style="bold" if bold else ""), soft_wrap=True)


def warn(text: str) -> None:
    """Print a sentence to the error channel."""
    print(text, file=sys.stderr)


def print_document(document: Any) -> None:
    """Print one JSON document; dates as 2031-05-20, unknown figures as null."""
    print(json.dumps(document, indent=2, default=_plain, ensure_ascii=False))


def _plain(value: object) -> object:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {one.name: getattr(value, one.name) for one in dataclasses.fields(value)}
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, Path):
        return str(value)
    raise TypeError(f"{value!r} has no form in JSON")


def money(amount: float | None, decimals: int = 2) -> str:
    """Return an amount as it is printed."""
    return "unknown" if amount is None else f"{amount:,.{decimals}f}"


def share(part: float | None) -> str:
    """Return a share as it is printed."""
    return "unknown" if part is None else f"{part:.1%}"


class Progress:
    """A line on the terminal that counts; says nothing where the error channel is no terminal."""

    def __init__(self) -> None:
        self.shown = sys.stderr.isatty()

    def __call__(self, done: int, total: int, name: str) -> None:
        """Show how far it is."""
        if self.shown:
            print(f"\r\x1b[K{done} of {total}  {name[:60]}", end="", file=sys.stderr, flush=True)

    def end(self) -> None:
        """Clear the line."""
        if self.shown:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)
