"""What the arguments of a command mean, checked before any work starts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

WITNESSES = ("formulas", "ironcalc")


def capacities(words: Sequence[str]) -> dict[str, int]:
    """Return row capacities from words like ``routing=40``. Errors: typer.BadParameter shows the word."""
    found: dict[str, int] = {}
    for word in words:
        name, sign, number = word.partition("=")
        if not sign or not number.strip().isdecimal():
            raise typer.BadParameter(
                f"found {word!r}; expected a name and a number, as routing=40", param_hint="--rows"
            )
        found[name.strip().replace(" ", "_")] = int(number)
    return found


def check_target(path: Path) -> None:
    """Refuse a name that spreadsheet programs would not open as a workbook."""
    if path.suffix.lower() != ".xlsx" and not path.is_dir():
        raise typer.BadParameter(f"found {path.name!r}; expected a name that ends in .xlsx", param_hint="TARGET")


def check_witness(name: str | None) -> None:
    """Refuse a witness that is none of the known ones."""
    if name is not None and name not in WITNESSES:
        raise typer.BadParameter(f"found {name!r}; known are {', '.join(WITNESSES)}", param_hint="--witness")


def data_for_new(
    job: Path | None, shop: Path | None, like: Path | None
) -> tuple[dict[str, Any] | None, dict[str, Any] | None, tuple[str, ...]]:
    """Return shop data, job data and notes for a new workbook; a file given by name wins over the earlier workbook.

    Errors: InputError when a file is refused; BookError when the earlier workbook cannot be read.
    """
    from quotebook.flows.new import inputs_of_workbook
    from quotebook.model import check_against, read_job, read_shop, to_data

    shop_data: dict[str, Any] | None = None
    job_data: dict[str, Any] | None = None
    notes: tuple[str, ...] = ()
    if like is not None:
        shop_data, job_data, notes = inputs_of_workbook(like)
        told = job_data.get("job", {})
        kept = [word for word in ("quote_number", "quote_date", "due_date") if told.get(word)]
        if kept:
            notes += (f"carried over from {like.name}, look whether they still hold: {', '.join(kept)}",)
    read_profile = read_shop(shop) if shop is not None else None
    if read_profile is not None:
        shop_data = to_data(read_profile)
    if job is not None:
        wanted = read_job(job)
        if read_profile is not None:
            check_against(wanted, read_profile, str(job))
        job_data = to_data(wanted)
    return shop_data, job_data, notes
