"""The results of the loop's commands, as tables for people and as JSON for machines. Nothing is judged here."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from quotebook.cli.showing import money, print_document, print_table, say, share
from quotebook.flows.closeout import SCHEMA as CLOSEOUT_SCHEMA
from quotebook.flows.closeout import ClosedFolder, ClosedJob
from quotebook.flows.closeout_report import sentences
from quotebook.flows.compare import SCHEMA as COMPARE_SCHEMA
from quotebook.flows.compare import Compared
from quotebook.flows.gather import SCHEMA as GATHER_SCHEMA
from quotebook.flows.gather import Gathered
from quotebook.flows.gather_summary import remarks_of, short_name
from quotebook.flows.merge import Merged
from quotebook.flows.quote import SCHEMA as QUOTE_SCHEMA
from quotebook.flows.quote import Quoted
from quotebook.flows.request import SCHEMA as REQUEST_SCHEMA
from quotebook.flows.request import Requests

MOST_ROWS = 40


def show_requests(made: Requests, json: bool) -> None:
    """Print which requests were written."""
    if json:
        print_document({"schema": REQUEST_SCHEMA, "job": made.job, "requests": made.requests, "notes": made.notes})
        return
    rows = [(one.supplier, ", ".join(one.lines), str(one.rows), str(one.file)) for one in made.requests]
    print_table(("supplier", "asked for", "rows", "file"), rows, right="llr")
    _notes(made.notes)


def show_gathered(gathered: Gathered, json: bool) -> None:
    """Print the jobs of a batch and what could not be read."""
    if json:
        files = [record.as_data() for record in gathered.records]
        print_document({"schema": GATHER_SCHEMA, "folder": gathered.folder, "read": gathered.read, "files": files})
        return
    rows = []
    for record in gathered.of_kind("job")[:MOST_ROWS]:
        job = record.job
        assert job is not None
        lot = job.lots[-1] if job.lots else None
        figures = (str(lot.quantity), money(lot.extended_price), share(lot.margin)) if lot else ("", "", "")
        name = short_name(gathered.folder, record.path)
        rows.append((name, job.customer, job.part_number, *figures, job.status, job.agreement))
    headings = ("file", "customer", "part", "quantity", "extended", "margin", "status", "three engines")
    print_table(headings, rows, right="lllrrr")
    left = len(gathered.of_kind("job")) - MOST_ROWS
    if left > 0:
        say(f"and {left} more; --json or -o lists all")
    for record in gathered.records:
        name = short_name(gathered.folder, record.path)
        if record.kind == "failed":
            say(f"not read: {name}: {record.reason}")
        elif remarks_of(record):
            say(f"note: {name}: {remarks_of(record)}")
    kinds = [f"{len(gathered.of_kind(kind))} {kind}" for kind in ("job", "supplier answer", "foreign", "failed")]
    gone = f", {gathered.gone} gone since the last time" if gathered.gone else ""
    say(f"{len(gathered.records)} files, {gathered.read} read now: {', '.join(kinds)}{gone}.", bold=True)


def show_merged(merged: Merged, unread: Sequence[tuple[str, str]], json: bool) -> None:
    """Print what was chosen and why, and what was left out."""
    if json:
        offers = [
            {
                "line": one.line, "quantity": one.bid.quantity, "supplier": one.returned.supplier,
                "price": one.bid.price, "currency": one.bid.currency, "valid_until": one.bid.valid_until,
                "chosen": one.chosen, "state": one.state, "why": one.why,
            }
            for one in merged.offers
        ]  # fmt: skip
        document: dict[str, Any] = {"schema": GATHER_SCHEMA, "job": merged.job, "target": merged.target}
        refused = [{"file": file, "reason": reason} for file, reason in (*merged.refused, *unread)]
        print_document({**document, "offers": offers, "refused": refused, "notes": merged.notes})
        return
    rows = [(one.line, str(one.bid.quantity), one.returned.supplier, one.state, one.why) for one in merged.offers]
    print_table(("line", "quantity", "supplier", "state", "why"), rows, right="lr")
    for file, reason in (*merged.refused, *unread):
        say(f"left out: {file}: {reason}")
    _notes(merged.notes)
    chosen = sum(one.chosen for one in merged.offers)
    say(f"{merged.target}: {chosen} of {len(merged.offers)} prices chosen.", bold=True)


def show_quoted(made: Quoted, json: bool) -> None:
    """Print the files, or why there are none."""
    if json:
        told = {"files": made.files, "draft": made.draft, "refusals": made.refusals, "notes": made.notes}
        print_document({"schema": QUOTE_SCHEMA, "job": made.job, **told})
        return
    for one in made.refusals:
        say(f"{one.kind}: {one.sentence}")
    _notes(made.notes)
    if not made.files:
        say(
            f"REFUSED: {len(made.refusals)} reasons. Put them right, or use --anyway for a copy marked DRAFT.",
            bold=True,
        )
        return
    for path in made.files:
        say(f"{path}{'  marked DRAFT on every page' if made.draft else ''}", bold=True)


def show_closed(folder: ClosedFolder, changes: Sequence[str], json: bool) -> None:
    """Print each close-out on one page, and over several jobs what the next estimate must change."""
    if json:
        jobs = [_closed_data(one) for one in folder.jobs]
        ratios = {"overall": folder.overall, "by_place": folder.by_place, "by_kind": folder.by_kind}
        print_document({"schema": CLOSEOUT_SCHEMA, "jobs": jobs, "ratios": ratios, "changes": changes})
        return
    if len(folder.jobs) == 1:
        _one_job(folder.jobs[0])
    else:
        _many_jobs(folder)
    for change in changes:
        say(f"suggested: {change}")


def _one_job(one: ClosedJob) -> None:
    closed = one.closeout
    if closed is None:
        say(one.error)
        return
    say(f"{one.part}: {closed.verdict}", bold=True)
    if not closed.missing:
        rows = [("quoted", money(closed.quoted_profit), share(closed.quoted_margin))]
        rows += [(row.kind, money(row.amount), share(row.points)) for row in closed.kinds]
        rows.append(("actual", money(closed.profit), share(closed.margin)))
        print_table(("bridge", "profit", "margin"), rows, right="lrr")
        moved = [step for step in closed.steps if abs(step.amount) >= 0.005]
        print_table(("step", "where", "profit"), [(s.kind, s.where, money(s.amount)) for s in moved], right="llr")
    for sentence in sentences(one):
        say(sentence)


def _many_jobs(folder: ClosedFolder) -> None:
    rows = []
    for one in folder.jobs:
        closed = one.closeout
        if closed is None:
            rows.append((Path(one.file).name, one.part, "", "", "", "not closed out"))
            continue
        figures = (money(closed.profit), share(closed.quoted_margin), share(closed.margin))
        rows.append((Path(one.file).name, one.part, *figures, closed.verdict))
    print_table(("file", "part", "profit", "quoted", "actual", "answer"), rows, right="llrrr")
    ratios = [
        (one.group, str(one.jobs), f"{one.mean:.3f}", _interval(one.low, one.high), one.told)
        for one in (*folder.overall, *folder.by_place)
    ]
    print_table(("hours of", "jobs", "actual/estimate", "95 %", "what to make of it"), ratios, right="lrrr")


def _interval(low: float | None, high: float | None) -> str:
    return "" if low is None or high is None else f"{low:.3f} to {high:.3f}"


def _closed_data(one: ClosedJob) -> dict[str, Any]:
    closed = one.closeout
    told: dict[str, Any] = {
        "file": one.file, "part": one.part, "customer": one.customer, "currency": one.currency, "error": one.error,
        "notes": one.notes, "closeout": None,
    }  # fmt: skip
    if closed is not None:
        names = ("quoted_profit", "quoted_margin", "profit", "margin", "over_sell_rates", "verdict")
        plain = {name: getattr(closed, name) for name in closed.__dataclass_fields__}
        told["closeout"] = {**plain, **{name: getattr(closed, name) for name in names}}
    return told


def show_compared(result: Compared, json: bool) -> None:
    """Print what differs and the bridge."""
    if json:
        steps = [{"what": s.what, "before": s.before, "after": s.after, "amount": s.amount} for s in result.steps]
        plain = {name: getattr(result, name) for name in result.__dataclass_fields__}
        print_document({"schema": COMPARE_SCHEMA, **plain, "steps": steps, "difference": result.difference})
        return
    for change in result.changes:
        say(change.told)
    for one in result.formulas:
        say(f"formula of {one.field} in {one.cell}: {one.before or 'nothing'} -> {one.after or 'nothing'}")
    if result.steps:
        rows = [("first workbook", money(result.first_price), "")]
        rows += [(step.what, money(step.after), f"{step.amount:+,.2f}") for step in result.steps]
        quantity = f", quantity {result.quantity}" if result.quantity is not None else ""
        print_table(("change", "total of first order", "difference"), rows, f"Price bridge{quantity}", "lrr")
    _notes(result.notes)
    if result.same:
        say("No difference.", bold=True)
    elif result.difference is not None:
        say(
            f"{len(result.changes)} changes, {len(result.formulas)} formulas; price {result.difference:+,.2f}.",
            bold=True,
        )


def _notes(notes: Sequence[str]) -> None:
    for note in notes:
        say(f"note: {note}")
