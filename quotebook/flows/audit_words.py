"""The audit's one-line verdict, in the same words on the terminal, on the page and in the add-in's box."""

from __future__ import annotations

from quotebook.audit.finding import Severity
from quotebook.flows.audit import FileAudit


def verdict(audit: FileAudit) -> str:
    """Return one line: how many findings of each level, and what was left out."""
    counts = [(level, sum(one.severity is level for one in audit.findings)) for level in Severity]
    told = ", ".join(f"{count} {level.value}" for level, count in counts if count)
    number = len(audit.findings)
    line = f"{number} finding{'s' * (number != 1)}: {told}." if number else "Nothing found."
    if audit.not_judged:
        line += f" {len(audit.not_judged)} checks could not judge it."
    if audit.accepted:
        line += f" {len(audit.accepted)} accepted findings are kept quiet."
    return line
