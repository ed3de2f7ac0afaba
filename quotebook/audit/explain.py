"""A check's explanation taken apart, and the page of all checks made from it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from textwrap import dedent

from quotebook.audit.registry import Registered

#: The headings of every check's explanation, in this order.
HEADINGS = (
    "What it finds", "Why it costs money", "Faulty", "Sound", "How to mend", "False alarms", "Source",
)  # fmt: skip


def first_line(explanation: str) -> str:
    """Return the sentence that a check begins with."""
    return explanation.strip().split("\n", 1)[0]


def sections(explanation: str) -> Mapping[str, str]:
    """Return the text under each heading, in the order in which the headings stand."""
    found: dict[str, list[str]] = {}
    heading = ""
    for line in explanation.splitlines():
        if line in HEADINGS:
            heading = line
            found[heading] = []
        elif heading:
            found[heading].append(line)
    return {name: dedent("\n".join(lines)).strip() for name, lines in found.items()}


def explained(one: Registered) -> str:
    """Return what ``--explain`` prints: the explanation and the declaration, as plain text."""
    check = one.check
    lines = [check.name, "=" * len(check.name), "", first_line(one.explanation), ""]
    for heading, text in sections(one.explanation).items():
        lines += [heading, *(f"    {line}".rstrip() for line in text.splitlines()), ""]
    lines.append(f"Usual level: {check.severity.value}. {check.when.value.capitalize()}; {check.kind.value}.")
    needs = [need.value for need in check.needs]
    lines.append(f"Needs: {', '.join(needs) or 'nothing but the file'}.")
    return "\n".join(lines)


def page(checks: Sequence[Registered]) -> str:
    """Return the Markdown page of all checks."""
    lines = [
        "# The checks of `quotebook audit`",
        "",
        "Made from the checks' own files; `quotebook audit --explain NAME` prints one of them.",
        "",
        "| check | what it finds | usual level | needs |",
        "| --- | --- | --- | --- |",
    ]
    for one in checks:
        needs = ", ".join(need.value for need in one.check.needs) or "nothing but the file"
        name = one.check.name
        lines.append(f"| [{name}](#{name}) | {first_line(one.explanation)} | {one.check.severity.value} | {needs} |")
    for one in checks:
        check = one.check
        lines += ["", f"## {check.name}", "", first_line(one.explanation), ""]
        lines += [f"*{check.severity.value}; {check.when.value}; {check.kind.value}; rows {', '.join(check.rows)}*"]
        for heading, text in sections(one.explanation).items():
            body = ["```text", text, "```"] if heading in ("Faulty", "Sound") else [text]
            lines += ["", f"**{heading}**", "", *body]
    return "\n".join(lines) + "\n"
