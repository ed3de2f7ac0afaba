"""The result of an audit, as a table for people and as JSON for machines. Nothing is judged here."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from quotebook.audit.accept import cell_digest
from quotebook.audit.finding import Finding, Severity
from quotebook.cli import showing
from quotebook.flows.audit import SCHEMA, FileAudit
from quotebook.flows.audit_words import verdict as in_words

_LOOKS = {
    Severity.DO_NOT_QUOTE: "bold red",
    Severity.PROBABLY_WRONG: "red",
    Severity.LOOK_AT_IT: "yellow",
    Severity.REMARK: "dim",
}
#: Characters of a found or expected content that the table shows.
LONGEST = 90


def exit_code(audits: Sequence[FileAudit]) -> int:
    """Return 0 when nothing was found and all was judged, 2 when no file could be read, else 1."""
    if all(audit.error is not None for audit in audits):
        return 2
    return 1 if any(audit.error or audit.findings or audit.not_judged for audit in audits) else 0


def print_json(audits: Sequence[FileAudit]) -> None:
    """Print the documented document: ``{"schema": 1, "files": [...]}``; an unknown effect is null."""
    print(json.dumps({"schema": SCHEMA, "files": [as_data(audit) for audit in audits]}, indent=2))


def as_data(audit: FileAudit) -> dict[str, Any]:
    """Return one file's audit in the words of the JSON schema.

    ``price``: the recomputed price that effects are told of, with its cell; null where none is known.
    """
    view = audit.view
    price = None
    if view is not None and view.price_cells:
        first = view.price_cells[0]
        price = {"cell": str(first.address), "what": first.what, "value": view.price}
    return {
        "file": audit.file,
        "error": audit.error,
        "contract": view is not None and view.contract is not None,
        "price": price,
        "findings": [_finding(audit, finding) for finding in audit.findings],
        "accepted": [_finding(audit, finding) for finding in audit.accepted],
        "not_judged": [{"check": one.check, "reason": one.reason} for one in audit.not_judged],
    }


def _finding(audit: FileAudit, finding: Finding) -> dict[str, Any]:
    assert audit.view is not None, "a file with findings was read"
    return {
        "check": finding.check,
        "severity": finding.severity.value,
        "sheet": finding.sheet,
        "cells": finding.cells,
        "field": finding.field,
        "found": finding.found,
        "expected": finding.expected,
        "effect_on_price": finding.effect_on_price,
        "evidence": [str(one) for one in finding.evidence],
        "mend": finding.mend,
        "digest": cell_digest(audit.view, finding),
    }


def print_tables(audits: Sequence[FileAudit]) -> None:
    """Print each file: its findings, what could not be judged, and one line of verdict."""
    console = showing.console()
    for audit in audits:
        if audit.error is not None:
            Console(stderr=True, highlight=False, soft_wrap=True).print(Text(f"quotebook: {audit.error}"))
            continue
        console.print(Text(audit.file, style="bold"))
        if audit.findings:
            console.print(_table(audit.findings))
        for one in audit.not_judged:
            console.print(Text(f"not judged: {one.check}: {one.reason}"))
        console.print(Text(verdict(audit), style="bold"))
        console.print()


def _table(findings: Sequence[Finding]) -> Table:
    table = Table(show_edge=False, pad_edge=False, show_lines=True)
    for heading in ("where", "what", "found", "expected"):
        table.add_column(heading, overflow="fold", ratio=3 if heading in ("found", "expected") else 2)
    table.add_column("effect on price", justify="right", ratio=1)
    for finding in findings:
        where = f"{finding.sheet}!{finding.cells}" if finding.cells else "workbook"
        named = f"{where}\n{finding.field}" if finding.field else where
        what = Text(f"{finding.severity.value}: ", style=_LOOKS[finding.severity])
        what.append(finding.check, style="default")
        table.add_row(Text(named), what, Text(_short(finding.found)), Text(_short(finding.expected)), effect(finding))
    return table


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"


def effect(finding: Finding) -> str:
    """Return the effect on the price in words: signed, 0 for none, "unknown"."""
    if finding.effect_on_price is None:
        return "unknown"
    return f"{finding.effect_on_price:+,.2f}" if finding.effect_on_price else "none"


def verdict(audit: FileAudit) -> str:
    """Return one line: how many findings of each level, and what was left out."""
    line = in_words(audit)
    if audit.findings:
        line += " Explain one: quotebook audit --explain NAME"
    return line
