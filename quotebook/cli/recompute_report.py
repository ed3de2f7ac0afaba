"""The result of recomputing, as tables for people and as JSON for machines. Nothing is judged here."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from quotebook.cli import showing
from quotebook.flows.recompute import SCHEMA, Recomputed
from quotebook.values import ErrorValue

MOST_ROWS = 25


def exit_code(results: Sequence[Recomputed]) -> int:
    """Return 0 when all agree, 2 when no file could be read, else 1."""
    if all(result.error is not None for result in results):
        return 2
    return 0 if all(result.agree for result in results) else 1


def print_json(results: Sequence[Recomputed]) -> None:
    """Print the documented document: ``{"schema": 1, "files": [...]}``; unknown numbers are null."""
    print(json.dumps({"schema": SCHEMA, "files": [as_data(result) for result in results]}, indent=2, default=_plain))


def as_data(result: Recomputed) -> dict[str, Any]:
    """Return one file's result in the words of the JSON schema."""
    return {
        "file": result.file,
        "error": result.error,
        "agree": result.agree,
        "contract": result.has_contract,
        "formulas": result.formulas,
        "evaluated": result.evaluated,
        "compared_stored": result.compared_stored,
        "compared_reference": result.compared_reference,
        "statuses": result.statuses,
        "part": result.part,
        "currency": result.currency,
        "prices": [asdict(row) for row in result.prices],
        "first_piece": result.first_piece,
        "next_piece": result.next_piece,
        "repeat_order": result.repeat_order,
        "disagreements": [asdict(one) for one in result.disagreements],
        "unknown": [asdict(one) for one in result.unknown],
        "notes": result.notes,
    }


def print_tables(results: Sequence[Recomputed]) -> None:
    """Print each file: price table, what disagrees, what is unknown, and one line of verdict."""
    console = showing.console()
    for result in results:
        _print_one(console, result)


def _print_one(console: Console, result: Recomputed) -> None:
    if result.error is not None:
        Console(stderr=True, highlight=False, soft_wrap=True).print(Text(f"quotebook: {result.error}"))
        return
    console.print(Text(f"{result.file}  {result.part}".rstrip(), style="bold"))
    if result.prices:
        console.print(_prices(result))
        console.print(
            f"First piece alone {_money(result, result.first_piece)}   next piece {_money(result, result.next_piece)}"
        )
    if result.disagreements:
        console.print(_disagreements(result))
    if result.unknown:
        console.print(_unknown(result))
    for note in result.notes:
        console.print(Text(f"note: {note}"))
    console.print(Text(_verdict(result), style="bold"))
    console.print()


def _prices(result: Recomputed) -> Table:
    table = Table(show_edge=False, pad_edge=False)
    for heading in (
        "quantity", "unit price", "extended", "nonrecurring", "our cost", "margin", "repeat, unit",
    ):  # fmt: skip
        table.add_column(heading, justify="right")
    for row, repeat in zip(result.prices, result.repeat_order, strict=True):
        table.add_row(
            f"{row.quantity:,.0f}" if row.quantity is not None else "unknown",
            _money(result, row.unit_price, fine=True),
            _money(result, row.extended_price),
            _money(result, row.nonrecurring),
            _money(result, row.cost),
            "unknown" if row.margin is None else f"{row.margin:.1%}",
            _money(result, repeat["unit_price"], fine=True),
        )
    return table


def _disagreements(result: Recomputed) -> Table:
    table = Table(title=f"Disagreements ({len(result.disagreements)})", title_justify="left", show_lines=False)
    for heading in ("cell", "field", "stored", "recomputed", "reference", "likely reason"):
        table.add_column(heading, overflow="fold")
    for one in result.disagreements[:MOST_ROWS]:
        values = (_show(one.stored), _show(one.recomputed), _show(one.reference) if one.reference is not None else "")
        table.add_row(*(Text(text) for text in (one.cell, one.field, *values, one.reason)))
    _rest(table, len(result.disagreements), 6)
    return table


def _unknown(result: Recomputed) -> Table:
    table = Table(title=f"Unknown ({len(result.unknown)})", title_justify="left")
    for heading in ("cell", "field", "why"):
        table.add_column(heading, overflow="fold")
    for one in result.unknown[:MOST_ROWS]:
        table.add_row(Text(one.cell), Text(one.field), Text(one.reason))
    _rest(table, len(result.unknown), 3)
    return table


def _rest(table: Table, count: int, columns: int) -> None:
    if count > MOST_ROWS:
        table.add_row(*[""] * (columns - 1), f"and {count - MOST_ROWS} more; --json lists all")


def _verdict(result: Recomputed) -> str:
    counted = f"{result.evaluated} of {result.formulas} formulas evaluated, {result.compared_stored} stored results"
    if result.has_contract:
        counted += f" and {result.compared_reference} reference figures"
    counted += " compared"
    if result.disagreements:
        return f"DISAGREE: {len(result.disagreements)} differences. {counted}."
    if result.unknown:
        return f"NOT FULLY JUDGED: {len(result.unknown)} unknown; what could be judged agrees. {counted}."
    return f"AGREE: {counted}, no difference."


def _money(result: Recomputed, value: float | None, fine: bool = False) -> str:
    if value is None:
        return "unknown"
    decimals = result.decimals
    if fine and round(value, decimals) != value:
        decimals = max(decimals, 4)
    return f"{result.currency}{value:,.{decimals}f}"


def _show(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, float):
        return f"{value:.10g}"
    return str(value) if not isinstance(value, str) else repr(value)


def _plain(value: object) -> str:
    if isinstance(value, ErrorValue):
        return value.value
    raise TypeError(f"{value!r} has no form in JSON")
