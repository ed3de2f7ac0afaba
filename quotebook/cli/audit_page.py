"""The audit as one self-contained page: no script, no network, nothing from a workbook that is not escaped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from quotebook.audit.explain import first_line, sections
from quotebook.audit.finding import Finding, Mended, NameKey
from quotebook.audit.registry import check_named
from quotebook.audit.view import BookView
from quotebook.cli.audit_pictures import price_picture, sheet_picture
from quotebook.cli.audit_report import effect, verdict
from quotebook.engine.book import Status
from quotebook.flows.audit import FileAudit
from quotebook.values import Address

_STYLE = """
body { font: 15px/1.45 system-ui, sans-serif; margin: 2rem auto; max-width: 1100px; padding: 0 1rem; color: #1d2528; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.2rem; margin-top: 2.2rem; } h3 { font-size: 1rem; }
table { border-collapse: collapse; width: 100%; } td, th { border: 1px solid #c8cfd2; padding: .35rem .5rem; }
th { text-align: left; background: #eef1f2; } td { vertical-align: top; overflow-wrap: anywhere; }
code { font-size: .85rem; } .right { text-align: right; white-space: nowrap; }
.do-not-quote, .probably-wrong { border-left: .5rem solid #a4262c; } .look-at-it { border-left: .5rem solid #9a7400; }
.remark { border-left: .5rem solid #6b7780; } details { margin: .3rem 0; } svg { max-width: 100%; height: auto; }
svg text { font: 12px system-ui, sans-serif; } svg .number { font-size: 7px; font-weight: bold; fill: #000; }
.paper { fill: #fff; stroke: #c8cfd2; } .typed { fill: #d9e2e5; } .formula { fill: #b9c6cb; }
.grave { fill: #ff8a80; stroke: #a4262c; stroke-width: 1.5; } .lesser { fill: #ffe082; stroke: #9a7400; }
.found { fill: #a4262c; } .mended { fill: #24424a; }
"""


def page_text(audits: Sequence[FileAudit]) -> str:
    """Return the page of all audited files."""
    body = "".join(_file(audit, number) for number, audit in enumerate(audits, start=1))
    policy = "default-src 'none'; style-src 'unsafe-inline'"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1"><title>Audit of quote workbooks</title>'
        f"<style>{_STYLE}</style></head><body><h1>Audit of quote workbooks</h1>{body}</body></html>\n"
    )


def _file(audit: FileAudit, number: int) -> str:
    if audit.view is None:
        return f"<h2>{escape(audit.file)}</h2><p>Not read: {escape(audit.error or '')}</p>"
    numbered = list(enumerate(audit.findings, start=100 * (number - 1) + 1 if number > 1 else 1))
    parts = [f"<h2>{escape(audit.file)}</h2><p><strong>{escape(verdict(audit))}</strong></p>"]
    pictures = price_picture(mended_prices(audit.view, audit.findings)) if audit.findings else ""
    if pictures:
        parts.append(f"<h3>Price as found, and with every finding put right that says how</h3>{pictures}")
    if numbered:
        parts.append(_findings(numbered))
        parts += _sheets(audit.view, numbered)
    if audit.not_judged:
        rows = "".join(f"<li>{escape(one.check)}: {escape(one.reason)}</li>" for one in audit.not_judged)
        parts.append(f"<h3>Not judged</h3><ul>{rows}</ul>")
    if audit.accepted:
        rows = "".join(f"<li>{escape(one.check)} at {escape(one.sheet)} {one.cells}</li>" for one in audit.accepted)
        parts.append(f"<h3>Accepted, and quiet until the cells change</h3><ul>{rows}</ul>")
    return "".join(parts)


def mended_prices(view: BookView, findings: Sequence[Finding]) -> Mapping[str, tuple[float | None, float | None]]:
    """Return the price cells that move when all findings are put right together: as found, and as mended."""
    changes: dict[Address, Mended] = {}
    names: dict[NameKey, str | None] = {}
    for finding in reversed(findings):  # the strongest has the last word on a cell
        changes |= finding.put_right
        names |= finding.put_right_names
    if not view.price_cells or not (changes or names):
        return {}
    results = view.what_if.results(changes, [cell.address for cell in view.price_cells], names)
    prices: dict[str, tuple[float | None, float | None]] = {}
    for cell, result in zip(view.price_cells, results, strict=True):
        found = view.number(cell.address)
        value = result.value if result.status is Status.EVALUATED and isinstance(result.value, float) else None
        if found != value:
            prices.setdefault(cell.what, (found, value))
    return prices


def _findings(numbered: Sequence[tuple[int, Finding]]) -> str:
    heads = ("No.", "level", "where", "found", "expected", "effect on price", "evidence, and how to mend")
    rows = "".join(_row(number, finding) for number, finding in numbered)
    return f"<table><tr>{''.join(f'<th>{head}</th>' for head in heads)}</tr>{rows}</table>"


def _row(number: int, finding: Finding) -> str:
    where = f"{finding.sheet} {finding.cells}" if finding.cells else "the workbook"
    reasons = "".join(f"<li>{escape(str(one))}</li>" for one in finding.evidence)
    level = finding.severity.value
    return (
        f'<tr id="finding-{number}" class="{level.replace(" ", "-")}"><td class="right">{number}</td><td>{level}</td>'
        f"<td>{escape(where)}<br>{escape(finding.field)}</td><td><code>{escape(finding.found) or 'nothing'}</code></td>"
        f"<td><code>{escape(finding.expected) or 'nothing'}</code></td>"
        f'<td class="right">{effect(finding)}</td><td><ul>{reasons}</ul>{escape(finding.mend)}{_why(finding)}</td></tr>'
    )


def _why(finding: Finding) -> str:
    one = check_named(finding.check)
    if one is None:
        return ""
    costs = " ".join(sections(one.explanation)["Why it costs money"].split())
    head = f"{finding.check}: {first_line(one.explanation)}"
    return f"<details><summary>{escape(head)}</summary>{escape(costs)}</details>"


def _sheets(view: BookView, numbered: Sequence[tuple[int, Finding]]) -> list[str]:
    parts = ["<h3>Where the findings lie</h3>"]
    for sheet in view.snapshot.sheets:
        here = [(number, finding) for number, finding in numbered if finding.sheet == sheet.title and finding.cells]
        if here:
            parts.append(f"<h3>{escape(sheet.title)}</h3>{sheet_picture(view, sheet, here)}")
    return parts if len(parts) > 1 else []
